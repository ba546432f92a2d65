//! A formula with the dimensions behind it as a flat list of steps over slots, for
//! whoever computes it a million times.
//!
//! A run gives the amount that evaluating gives, by the same arithmetic in the same
//! order, without derivatives and without words. Kinds are checked once, when the
//! program is made, and what no input reaches is computed then.

use std::collections::BTreeMap;

use super::expression::{Expression, Function, Sign, Term};
use super::value::Kind;
use super::{DimensionKind, Formula, Web, evaluate};
use crate::measure::{Length, Unit};

/// A formula made ready to be run many times with other inputs, all of them lengths.
#[derive(Clone, Debug, PartialEq)]
pub struct Program {
    /// The inputs, then what never changes, with room for what does.
    slots: Vec<f64>,
    steps: Vec<(usize, Instruction)>,
    result: usize,
}

/// One computation; slots are named by their place.
#[derive(Clone, Debug, PartialEq)]
enum Instruction {
    Plus(usize, usize),
    Minus(usize, usize),
    Times(usize, usize),
    Over(usize, usize),
    Scaled(usize, f64),
    Least(Box<[usize]>),
    Most(Box<[usize]>),
    Mean(Box<[usize]>),
    Atan2(usize, usize),
    /// A root that an input moves: at 0 a change of it has no bound.
    Root(usize),
    Alone(Function, usize),
    /// A length that is none where it is too long.
    Bounded(usize),
}

impl Instruction {
    /// What it comes to; none where evaluating refuses.
    fn run(&self, slots: &[f64]) -> Option<f64> {
        let value = match self {
            Instruction::Plus(one, other) => slots[*one] + slots[*other],
            Instruction::Minus(one, other) => slots[*one] - slots[*other],
            Instruction::Times(one, other) => slots[*one] * slots[*other],
            Instruction::Over(_, by) if slots[*by] == 0.0 => return None,
            Instruction::Over(one, by) => slots[*one] / slots[*by],
            Instruction::Scaled(one, by) => slots[*one] * by,
            Instruction::Least(all) => pick(slots, all, |best, other| other < best),
            Instruction::Most(all) => pick(slots, all, |best, other| other > best),
            Instruction::Mean(all) => {
                all.iter().map(|place| slots[*place]).sum::<f64>() / all.len() as f64
            }
            Instruction::Atan2(rise, run) => evaluate::direction(slots[*rise], slots[*run])?,
            Instruction::Root(one) if slots[*one] == 0.0 => return None,
            Instruction::Root(one) => alone(Function::Sqrt, slots[*one])?,
            Instruction::Alone(function, one) => alone(*function, slots[*one])?,
            Instruction::Bounded(one) => {
                return Length::from_nanometres_f64(slots[*one]).map(|_| slots[*one]);
            }
        };
        value.is_finite().then_some(value)
    }

    /// The slots it reads.
    fn reads(&self) -> Vec<usize> {
        match self {
            Instruction::Least(all) | Instruction::Most(all) | Instruction::Mean(all) => {
                all.to_vec()
            }
            Instruction::Plus(one, other)
            | Instruction::Minus(one, other)
            | Instruction::Times(one, other)
            | Instruction::Over(one, other)
            | Instruction::Atan2(one, other) => vec![*one, *other],
            Instruction::Scaled(one, _)
            | Instruction::Root(one)
            | Instruction::Alone(_, one)
            | Instruction::Bounded(one) => {
                vec![*one]
            }
        }
    }
}

fn pick(slots: &[f64], places: &[usize], wins: impl Fn(f64, f64) -> bool) -> f64 {
    let all = places.iter().map(|place| slots[*place]);
    all.reduce(|best, other| if wins(best, other) { other } else { best }).unwrap_or(f64::NAN)
}

fn alone(function: Function, value: f64) -> Option<f64> {
    Some(match function {
        Function::Abs if value < 0.0 => -value,
        Function::Abs => value,
        Function::Floor | Function::Ceil => evaluate::whole(value, function),
        Function::Sqrt if value < 0.0 => return None,
        Function::Sqrt => value.sqrt(),
        Function::Sin => value.sin_cos().0,
        Function::Cos => value.sin_cos().1,
        Function::Tan => evaluate::tangent(value)?,
        Function::Atan => value.atan(),
        Function::Degrees => value.to_radians(),
        Function::Min | Function::Max | Function::Mean | Function::Atan2 => return None,
    })
}

impl Program {
    /// What a formula comes to, wanted as a length, an angle or a count. `input` says
    /// which of so many inputs a name stands for; every other name is what the web
    /// says. None where it has no value, whatever the inputs.
    pub fn of_formula(
        formula: &Formula,
        wanted: DimensionKind,
        web: &Web,
        inputs: usize,
        input: &dyn Fn(&str) -> Option<usize>,
    ) -> Option<Program> {
        let mut compiler = Compiler::new(web, inputs, input);
        let result = compiler.formula(formula, wanted)?;
        Some(compiler.program(result))
    }

    /// The same for what a dimension comes to.
    pub fn of_dimension(
        name: &str,
        web: &Web,
        inputs: usize,
        input: &dyn Fn(&str) -> Option<usize>,
    ) -> Option<Program> {
        let mut compiler = Compiler::new(web, inputs, input);
        let result = compiler.name(name)?;
        Some(compiler.program(result))
    }

    /// Room to run it in; the inputs come first.
    pub fn room(&self) -> Vec<f64> {
        self.slots.clone()
    }

    /// What it comes to with the inputs that stand in its room; none where evaluating
    /// refuses.
    pub fn run(&self, room: &mut [f64]) -> Option<f64> {
        for (to, step) in &self.steps {
            room[*to] = step.run(room)?;
        }
        Some(room[self.result])
    }
}

/// Where a value stands, and what is known of it before it is computed.
#[derive(Clone, Copy)]
struct Operand {
    slot: usize,
    kind: Kind,
    /// Made of nothing but numbers without a unit.
    bare: bool,
}

struct Compiler<'w> {
    web: &'w Web,
    input: &'w dyn Fn(&str) -> Option<usize>,
    slots: Vec<f64>,
    /// Whether an input reaches each slot.
    moves: Vec<bool>,
    steps: Vec<(usize, Instruction)>,
    /// The dimensions met so far; none while one is under way, for a circle has no value.
    met: BTreeMap<String, Option<Operand>>,
}

impl<'w> Compiler<'w> {
    fn new(web: &'w Web, inputs: usize, input: &'w dyn Fn(&str) -> Option<usize>) -> Compiler<'w> {
        Compiler {
            web,
            input,
            slots: vec![0.0; inputs],
            moves: vec![true; inputs],
            steps: Vec::new(),
            met: BTreeMap::new(),
        }
    }

    fn program(self, result: Operand) -> Program {
        Program { slots: self.slots, steps: self.steps, result: result.slot }
    }

    fn fixed(&mut self, amount: f64, kind: Kind, bare: bool) -> Operand {
        self.slots.push(amount);
        self.moves.push(false);
        Operand { slot: self.slots.len() - 1, kind, bare }
    }

    /// The slot of a step: computed at once where nothing moves it.
    fn step(&mut self, step: Instruction) -> Option<usize> {
        let moves = step.reads().into_iter().any(|slot| self.moves[slot]);
        let slot = self.slots.len();
        self.slots.push(if moves { 0.0 } else { step.run(&self.slots)? });
        self.moves.push(moves);
        if moves {
            self.steps.push((slot, step));
        }
        Some(slot)
    }

    fn name(&mut self, name: &str) -> Option<Operand> {
        if let Some(slot) = (self.input)(name) {
            return Some(Operand { slot, kind: Kind::LENGTH, bare: false });
        }
        if let Some(met) = self.met.get(name) {
            return *met;
        }
        self.met.insert(name.to_owned(), None);
        let definition = self.web.definition(name)?;
        let operand = self.formula(&definition.formula, definition.kind)?;
        self.met.insert(name.to_owned(), Some(operand));
        Some(operand)
    }

    fn formula(&mut self, formula: &Formula, wanted: DimensionKind) -> Option<Operand> {
        let found = self.expression(formula, &formula.whole)?;
        let operand = match wanted {
            DimensionKind::Length => self.measured_in(formula.unit, found)?,
            DimensionKind::Angle if found.bare => {
                let step = Instruction::Alone(Function::Degrees, found.slot);
                Operand { slot: self.step(step)?, kind: Kind::ANGLE, bare: false }
            }
            DimensionKind::Angle | DimensionKind::Count => Operand { bare: false, ..found },
        };
        match (operand.kind == wanted.kind(), wanted) {
            (false, _) => None,
            (true, DimensionKind::Length) => {
                Some(Operand { slot: self.step(Instruction::Bounded(operand.slot))?, ..operand })
            }
            (true, _) => Some(operand),
        }
    }

    /// A bare number as a length; anything else as it is.
    fn measured_in(&mut self, unit: Unit, operand: Operand) -> Option<Operand> {
        if !operand.bare {
            return Some(operand);
        }
        let step = Instruction::Scaled(operand.slot, unit.one().nanometres() as f64);
        Some(Operand { slot: self.step(step)?, kind: Kind::LENGTH, bare: false })
    }

    fn expression(&mut self, formula: &Formula, expression: &Expression) -> Option<Operand> {
        match &expression.term {
            Term::Number(number) => Some(self.fixed(*number, Kind::PLAIN, true)),
            Term::Measured(nanometres) => Some(self.fixed(*nanometres, Kind::LENGTH, false)),
            Term::Name(name) => self.name(&formula.text[name.clone()]),
            Term::Negative(inside) => {
                let inside = self.expression(formula, inside)?;
                Some(Operand { slot: self.step(Instruction::Scaled(inside.slot, -1.0))?, ..inside })
            }
            Term::Joined { left, sign, right, .. } => {
                let first = self.expression(formula, left)?;
                let second = self.expression(formula, right)?;
                self.joined(formula, first, *sign, second)
            }
            Term::Call { function, arguments } => self.call(formula, *function, arguments),
        }
    }

    fn joined(
        &mut self,
        formula: &Formula,
        first: Operand,
        sign: Sign,
        second: Operand,
    ) -> Option<Operand> {
        let bare = first.bare && second.bare;
        let (kind, step) = match sign {
            Sign::Times => {
                (first.kind.times(second.kind), Instruction::Times(first.slot, second.slot))
            }
            Sign::Over => {
                (first.kind.over(second.kind), Instruction::Over(first.slot, second.slot))
            }
            Sign::Plus | Sign::Minus => {
                let pair = self.of_one_kind(formula, vec![first, second])?;
                let (one, other) = (pair[0].slot, pair[1].slot);
                let step = match sign {
                    Sign::Plus => Instruction::Plus(one, other),
                    _ => Instruction::Minus(one, other),
                };
                (pair[0].kind, step)
            }
        };
        Some(Operand { slot: self.step(step)?, kind, bare })
    }

    /// Several values of one kind; beside a length, bare numbers are lengths too.
    fn of_one_kind(&mut self, formula: &Formula, operands: Vec<Operand>) -> Option<Vec<Operand>> {
        let has_length = operands.iter().any(|operand| operand.kind == Kind::LENGTH);
        let measured = operands.into_iter().map(|operand| {
            if has_length { self.measured_in(formula.unit, operand) } else { Some(operand) }
        });
        let operands: Vec<Operand> = measured.collect::<Option<_>>()?;
        let kind = operands.first()?.kind;
        operands.iter().all(|operand| operand.kind == kind).then_some(operands)
    }

    fn call(
        &mut self,
        formula: &Formula,
        function: Function,
        arguments: &[Expression],
    ) -> Option<Operand> {
        let operands = arguments.iter().map(|argument| self.expression(formula, argument));
        let operands: Vec<Operand> = operands.collect::<Option<_>>()?;
        let several =
            matches!(function, Function::Min | Function::Max | Function::Mean | Function::Atan2);
        let operands = if several { self.of_one_kind(formula, operands)? } else { operands };
        let first = *operands.first()?;
        let slots = || operands.iter().map(|operand| operand.slot).collect();
        let (step, kind, bare) = match function {
            Function::Min | Function::Max | Function::Mean => {
                let step = match function {
                    Function::Min => Instruction::Least(slots()),
                    Function::Max => Instruction::Most(slots()),
                    _ => Instruction::Mean(slots()),
                };
                (step, first.kind, operands.iter().all(|operand| operand.bare))
            }
            Function::Atan2 => {
                (Instruction::Atan2(first.slot, operands.get(1)?.slot), Kind::ANGLE, false)
            }
            _ => {
                let (kind, bare) = kind_of(function, first)?;
                let step = match function {
                    Function::Sqrt if self.moves[first.slot] => Instruction::Root(first.slot),
                    _ => Instruction::Alone(function, first.slot),
                };
                (step, kind, bare)
            }
        };
        Some(Operand { slot: self.step(step)?, kind, bare })
    }
}

/// The kind that a function of one value gives, and whether that is still bare.
fn kind_of(function: Function, first: Operand) -> Option<(Kind, bool)> {
    let plain = (first.kind == Kind::PLAIN).then_some(());
    let angle = (first.kind == Kind::ANGLE).then_some(());
    match function {
        Function::Abs => Some((first.kind, first.bare)),
        Function::Floor | Function::Ceil => plain.map(|()| (Kind::PLAIN, first.bare)),
        Function::Sqrt => first.kind.root().map(|kind| (kind, first.bare)),
        Function::Sin | Function::Cos | Function::Tan => angle.map(|()| (Kind::PLAIN, false)),
        Function::Atan | Function::Degrees => plain.map(|()| (Kind::ANGLE, false)),
        Function::Min | Function::Max | Function::Mean | Function::Atan2 => None,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::tests::{INCH, bench, inches, length_text};
    use super::super::{Definition, Scope, Value};
    use super::*;

    fn web(definitions: &[(&str, &str, DimensionKind)]) -> Web {
        let definition = |(name, text, kind): &(&str, &str, DimensionKind)| {
            let formula = Formula::parse(text, Unit::Inch).unwrap();
            ((*name).to_owned(), Definition { formula, kind: *kind })
        };
        Web::new(definitions.iter().map(definition).collect()).0
    }

    /// The amount with a, b and c as inputs.
    fn run(text: &str, web: &Web, inputs: [f64; 3]) -> Option<f64> {
        let formula = Formula::parse(text, Unit::Inch).unwrap();
        let input = |name: &str| ["a", "b", "c"].iter().position(|held| *held == name);
        let wanted = DimensionKind::Length;
        let program = Program::of_formula(&formula, wanted, web, inputs.len(), &input)?;
        let mut room = program.room();
        room[..3].copy_from_slice(&inputs);
        program.run(&mut room)
    }

    /// By hand: rail = a + 2 · 1/2 = 4, so the slope of 4 and 3 is 5 long; less the
    /// smaller of a and b, 2.
    #[test]
    fn dimensions_between_are_followed() {
        let web = web(&[
            ("tenon", "1/2", DimensionKind::Length),
            ("two", "2", DimensionKind::Count),
            ("rail", "a + two * tenon", DimensionKind::Length),
            ("a", "1", DimensionKind::Length),
        ]);
        let inputs = [3.0 * INCH, 2.0 * INCH, 0.0];
        let found = run("sqrt(rail * rail + 3in * 3in) - min(a, b)", &web, inputs);
        assert!((found.unwrap() - 3.0 * INCH).abs() < 1e-6, "{found:?}");
        // 39,370 in are a kilometre, and some more is too long.
        assert_eq!(
            run("a / b * 39370in", &web, [INCH, INCH, 0.0]).map(f64::round),
            Some(39370.0 * INCH)
        );
        assert_eq!(run("a / b * 39371in", &web, [INCH, INCH, 0.0]), None);
        assert_eq!(run("a * a / b", &web, inputs), Some(4.5 * INCH));
        assert_eq!(run("a * a / b", &web, [INCH, 0.0, 0.0]), None);
        assert_eq!(run("a * b", &web, inputs), None);
        assert_eq!(run("sqrt(c * c)", &web, inputs), None);
        assert_eq!(run("a + sqrt(0)", &web, inputs), Some(3.0 * INCH));
        assert_eq!(run("a + nothing", &web, inputs), None);
    }

    #[test]
    fn a_circle_has_no_value() {
        let length = DimensionKind::Length;
        let web = web(&[("one", "other + 1", length), ("other", "one + 1", length)]);
        assert_eq!(run("a + one", &web, [INCH, INCH, INCH]), None);
    }

    proptest! {
        #[test]
        fn it_comes_to_what_evaluating_comes_to(
            text in length_text(),
            (a, b, c) in (0.01..60.0, 0.01..60.0, 0.01..60.0),
        ) {
            let web = web(&[
                ("n", "5", DimensionKind::Count),
                ("t", "30", DimensionKind::Angle),
            ]);
            let scope = bench(&[
                ("a", inches(a)),
                ("b", inches(b)),
                ("c", inches(c)),
                ("n", Value::count(5.0)),
                ("t", Value::angle(30f64.to_radians())),
            ]);
            let formula = Formula::parse(&text, Unit::Inch).unwrap();
            let inputs = ["a", "b", "c"].map(|name| scope.value(name).unwrap().amount);
            match formula.evaluate_as(DimensionKind::Length, &scope) {
                Ok(value) => prop_assert_eq!(run(&text, &web, inputs), Some(value.amount), "{}", text),
                // Only evaluating knows a derivative that is no number.
                Err(error) if error.what.contains("no number that can be used") => {}
                Err(error) => prop_assert_eq!(run(&text, &web, inputs), None, "{}: {}", text, error),
            }
        }
    }
}
