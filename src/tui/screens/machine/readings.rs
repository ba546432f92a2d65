//! The readings of the check in hand, drawn in the rows there are.

use ratatui::Frame;
use ratatui::layout::Rect;

use crate::tui::machine_view::CheckReadings;
use crate::tui::theme::Theme;
use crate::tui::widgets::{CutOrderChart, LimitBand};

/// From so many rows on the readings are drawn in cut order.
const ROWS_FOR_A_CHART: u16 = 8;

pub(in crate::tui::screens) fn draw_readings(
    row: &CheckReadings,
    frame: &mut Frame<'_>,
    area: Rect,
    theme: Theme,
) {
    let CheckReadings { lines, marks, newest, uncertainty, uncertainty_text, .. } = row;
    let (uncertainty, uncertainty_text) = (*uncertainty, uncertainty_text.as_str());
    if area.height < ROWS_FOR_A_CHART {
        let newest = newest.as_ref().map(|(at, name)| (*at, name.as_str()));
        let readings = marks;
        let band = LimitBand { lines, readings, newest, uncertainty, uncertainty_text, theme };
        return frame.render_widget(band, area);
    }
    let chart = CutOrderChart {
        lines,
        places: row.places(),
        uncertainty,
        uncertainty_text,
        moved_after: None,
        named: &[],
        chosen: None,
        shows_all: false,
        theme,
    };
    frame.render_widget(chart, area);
}
