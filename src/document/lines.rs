//! Where each line of a text begins, so that an offset becomes a line and a
//! column.

use std::ops::Range;

use super::Place;

/// What some editors write before the first character of a file.
pub(super) const BYTE_ORDER_MARK: char = '\u{feff}';

/// Counting a line's characters from its start for every problem would take
/// minutes on one four-megabyte line with many problems, so the count is kept
/// at a fixed number of bytes.
const STRIDE: usize = 512;

/// The lines of one text.
#[derive(Clone, Debug)]
pub struct Lines {
    starts: Vec<usize>,
    /// How many characters begin before byte 0, 512, 1024 …
    characters: Vec<usize>,
}

impl Lines {
    /// The lines of a text.
    pub fn of(text: &str) -> Lines {
        let after_newline = text.match_indices('\n').map(|(newline, _)| newline + 1);
        let mut characters = vec![0];
        let mut so_far = 0;
        for stretch in text.as_bytes().chunks(STRIDE) {
            so_far += begin_in(stretch);
            characters.push(so_far);
        }
        Lines { starts: std::iter::once(0).chain(after_newline).collect(), characters }
    }

    /// The offset at which a line, counted from one, begins.
    pub(super) fn start(&self, line: usize) -> usize {
        let last = self.starts.len();
        self.starts[line.clamp(1, last) - 1]
    }

    /// Line and column of a span. A span that leaves the text or splits a
    /// character is trimmed to what it can mean.
    pub fn place(&self, text: &str, span: Range<usize>) -> Place {
        let start = character_at(text, span.start);
        let end = character_at(text, span.end).max(start);
        let line = self.starts.partition_point(|&at| at <= start);
        let column = self.characters_before(text, start)
            - self.characters_before(text, self.starts[line - 1])
            + 1;
        Place { line, column, span: start..end }
    }

    fn characters_before(&self, text: &str, offset: usize) -> usize {
        let stretch = offset / STRIDE;
        self.characters[stretch] + begin_in(&text.as_bytes()[stretch * STRIDE..offset])
    }
}

/// The offset at which the character around `offset` begins; the text's end
/// when it is beyond.
pub(super) fn character_at(text: &str, offset: usize) -> usize {
    let offset = offset.min(text.len());
    (0..=offset).rev().find(|&at| text.is_char_boundary(at)).unwrap_or(0)
}

/// How many characters begin in these bytes of UTF-8.
fn begin_in(bytes: &[u8]) -> usize {
    bytes.iter().filter(|&&byte| byte & 0b1100_0000 != 0b1000_0000).count()
}
