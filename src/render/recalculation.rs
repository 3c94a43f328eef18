//! What became of a calculation that is made again with other values: every ratio beside what it was.
//!
//! A check is known again by its statement and its name within the calculation, which says its row as well.

use super::address::Addresses;
use super::difference::{is_same, numbers, percent, percent_text, texts};
use super::math::{quantity_text, symbol_html};
use super::view::{ProductRow, ProductView, RatioRow, RecalculationView, ReplacedRow};
use super::wording::{Wording, ratio_text, verdict_view};
use crate::compile::{Check, LineId, Recalculation, ScopeId, Table, Value};
use crate::evaluate::{Trace, Verdict};
use crate::library::{DataEntry, DataFile};
use crate::quantity::Unit;
use crate::syntax::{ExpressionKind, print_expression};
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// Every calculation that the sheet makes again, in the order of its lines.
pub fn recalculations(wording: &Wording<'_>) -> Vec<RecalculationView> {
    compared(wording, |comparing| comparing.view())
}

/// The ratios of checks in the calculations as they stand, by the lines of the same checks here.
pub fn ratios_before(trace: &Trace, addresses: &Addresses) -> BTreeMap<LineId, f64> {
    if trace.before.is_empty() {
        return BTreeMap::new();
    }
    let both = |pair: &Pair<'_>| pair.is.zip(pair.was).map(|((is, _), (_, was))| (is, was.ratio));
    let ratios = compared(&Wording::new(trace, addresses), |comparing| {
        let ratio = |(id, register)| (id, comparing.before.trace.register(register));
        comparing.pairs().iter().filter_map(both).map(ratio).collect::<Vec<_>>()
    });
    ratios.into_iter().flatten().filter(|(_, ratio)| ratio.is_finite()).collect()
}

/// The lines that make a calculation again with no value that differs from its own, each with the path of that one.
pub fn unchanged(wording: &Wording<'_>) -> Vec<(LineId, String)> {
    let told = compared(wording, |comparing| {
        let line = comparing.wording.used_by(comparing.scope)?;
        comparing.is_unchanged().then(|| (line, comparing.recalculation.path.clone()))
    });
    told.into_iter().flatten().collect()
}

fn compared<T>(wording: &Wording<'_>, tell: impl Fn(&Comparing<'_>) -> T) -> Vec<T> {
    let trace = wording.trace;
    let scopes = trace.compiled.notes.scopes.iter().enumerate();
    let made_again = scopes.filter_map(|(at, scope)| Some((ScopeId(at as u32), scope.recalculation.as_deref()?)));
    // What a calculation made again makes again itself belongs to that one's page.
    let of_sheet = made_again.filter(|(scope, _)| trace.compiled.notes.scope(*scope).parent == Some(ScopeId(0)));
    of_sheet
        .filter_map(|(scope, recalculation)| {
            let before = trace.before.get(&scope)?;
            let addresses = Addresses::new(before);
            Some(tell(&Comparing { wording, scope, recalculation, before: Wording::new(before, &addresses) }))
        })
        .collect()
}

struct Comparing<'a> {
    wording: &'a Wording<'a>,
    scope: ScopeId,
    recalculation: &'a Recalculation,
    /// The calculation as it stands.
    before: Wording<'a>,
}

/// One check on both sides.
struct Pair<'a> {
    name: String,
    was: Option<(LineId, &'a Check)>,
    is: Option<(LineId, &'a Check)>,
}

impl Comparing<'_> {
    fn view(&self) -> RecalculationView {
        let Comparing { wording, scope, recalculation, before } = self;
        let notes = &wording.trace.compiled.notes;
        let front = &notes.scope(*scope).document.front;
        let line = wording.used_by(*scope);
        let is = wording.trace.verdict_within(*scope);
        RecalculationView {
            id: wording.addresses.scope(*scope).to_owned(),
            line: line.map_or(0, |line| wording.trace.number(line)),
            description: Wording::described(line.map_or("", |line| wording.line(line).description.as_str())),
            number: front.number.clone(),
            title: front.title.clone(),
            revision: front.revision.clone(),
            path: recalculation.path.clone(),
            was: verdict_view(before.trace.verdict_of_sheet()),
            is: verdict_view(is),
            is_unchanged: self.is_unchanged(),
            replaced: recalculation.replaced.iter().flat_map(|name| self.replaced(name)).collect(),
            products: recalculation.replaced.iter().filter_map(|name| self.product(name)).collect(),
            ratios: self.ratios(),
        }
    }

    /// The lines of a given on both sides.
    fn given(&self, name: &str) -> Option<(LineId, LineId)> {
        let find = |trace: &Trace, scope: ScopeId| {
            let lines = trace.compiled.notes.lines.iter();
            let at = { lines }.position(|line| line.scope == scope && line.symbol.as_deref() == Some(name))?;
            Some(LineId(at as u32))
        };
        Some((find(self.before.trace, ScopeId(0))?, find(self.wording.trace, self.scope)?))
    }

    /// Whether no value stands here in the place of another one, so that all is as it was: a survey that was read and
    /// not handed on.
    fn is_unchanged(&self) -> bool {
        let (old, new) = (self.before.trace, self.wording.trace);
        let is_same_given = |name: &String| {
            let Some((was, is)) = self.given(name) else { return true };
            match (&self.before.line(was).value, &self.wording.line(is).value) {
                (Value::Data(_), Value::Data(_)) => self.product(name).is_none_or(|product| product.different == 0),
                (Value::Table(was), Value::Table(is)) => is_same_table((old, was), (new, is)),
                (was, is) => is_same((old, was), (new, is)),
            }
        };
        self.recalculation.replaced.iter().all(is_same_given)
    }

    /// A given with its old and new value, a table row by row.
    fn replaced(&self, name: &str) -> Vec<ReplacedRow> {
        let Some((was, is)) = self.given(name) else { return Vec::new() };
        let (old, new) = (&self.before.line(was).value, &self.wording.line(is).value);
        let row = |label: &str, was: String, is_now: String, change: Option<f64>| ReplacedRow {
            id: self.wording.addresses.line(is).to_owned(),
            number: self.wording.trace.number(is),
            symbol: symbol_html(name),
            description: Wording::described(if label.is_empty() { &self.wording.line(is).description } else { label }),
            change: match change {
                Some(change) => percent_text(change),
                None if was == is_now => "same".to_owned(),
                None => "other".to_owned(),
            },
            was,
            is: is_now,
        };
        let sides = ((self.before.trace, old), (self.wording.trace, new));
        match (old, new) {
            (Value::Data(a), Value::Data(b)) => vec![row("", a.file.title.clone(), b.file.title.clone(), None)],
            (Value::Table(a), Value::Table(b)) => {
                let both = a.labels.iter().chain(b.labels.iter().filter(|label| !a.labels.contains(label)));
                let text = |trace: &Trace, table: &Table, label: &str| match { &table.labels }
                    .iter()
                    .position(|own| own == label)
                {
                    Some(at) => {
                        let fields = table.row(at);
                        // What a table holds beyond the columns that are asked for does not enter.
                        let asked =
                            fields.fields.iter().filter(|(name, _)| a.columns.iter().any(|(own, _)| own == name));
                        let cells = asked.map(|(name, value)| format!("{name} {}", quantity_text(trace, value)));
                        cells.collect::<Vec<_>>().join(", ")
                    }
                    None => "no such row".to_owned(),
                };
                let of_row = |label: &String| row(label, text(sides.0.0, a, label), text(sides.1.0, b, label), None);
                both.map(of_row).collect()
            }
            _ => {
                let (was, is) = texts(sides.0, sides.1);
                let change = numbers(sides.0, sides.1).filter(|(a, b)| a != b).and_then(|(a, b)| percent(a, b));
                vec![row("", was, is, change)]
            }
        }
    }

    /// Every value of both data files, where one product stands in the place of another.
    fn product(&self, name: &str) -> Option<ProductView> {
        let (was, is) = self.given(name)?;
        let (Value::Data(old), Value::Data(new)) = (&self.before.line(was).value, &self.wording.line(is).value) else {
            return None;
        };
        let (old, new) = (old.file.as_ref(), new.file.as_ref());
        let mut symbols: Vec<&String> = old.values.keys().collect();
        symbols.extend(new.values.keys().filter(|symbol| !old.values.contains_key(*symbol)));
        let mut rows: Vec<ProductRow> = symbols.into_iter().map(|name| product_row(name, old, new)).collect();
        rows.sort_by_key(|row| !row.differs);
        let family = |file: &DataFile| file.family.as_ref().map(|family| family.node.clone()).unwrap_or_default();
        Some(ProductView {
            was: old.title.clone(),
            is: new.title.clone(),
            other_family: if family(old) == family(new) { String::new() } else { family(new) },
            different: rows.iter().filter(|row| row.differs).count(),
            rows,
        })
    }

    /// Checks that came out in another way first, then the largest ratios as they are now.
    fn ratios(&self) -> Vec<RatioRow> {
        let mut pairs = self.pairs();
        let verdict =
            |of: &Wording<'_>, check: Option<(LineId, &Check)>| check.map(|(id, check)| of.trace.verdict(id, check));
        let ratio = |pair: &Pair<'_>| pair.is.map_or(f64::NAN, |(_, check)| self.wording.trace.register(check.ratio));
        let key = |pair: &Pair<'_>| {
            let (was, is) = (verdict(&self.before, pair.was), verdict(self.wording, pair.is));
            (was == is, is.unwrap_or(Verdict::NotApplicable))
        };
        pairs.sort_by(|a, b| {
            key(a).cmp(&key(b)).then_with(|| ratio(b).partial_cmp(&ratio(a)).unwrap_or(Ordering::Equal))
        });
        let is_idle = |pair: &Pair<'_>| {
            let idle = |verdict: Option<Verdict>| verdict.is_none_or(|verdict| verdict == Verdict::NotApplicable);
            idle(verdict(&self.before, pair.was)) && idle(verdict(self.wording, pair.is))
        };
        pairs.iter().filter(|pair| !is_idle(pair)).map(|pair| self.ratio_row(pair)).collect()
    }

    fn pairs(&self) -> Vec<Pair<'_>> {
        let name_of = |of: &Wording<'_>, id: LineId, outer: ScopeId| {
            let line = of.line(id);
            (line.source.name.clone(), line.statement.span.start, of.check_name_within(line, outer))
        };
        let mut known: BTreeMap<(String, u32, String), Vec<usize>> = BTreeMap::new();
        let mut pairs = Vec::new();
        for (id, check) in self.before.trace.checks() {
            let key = name_of(&self.before, id, ScopeId(0));
            known.entry(key.clone()).or_default().push(pairs.len());
            pairs.push(Pair { name: key.2, was: Some((id, check)), is: None });
        }
        let notes = &self.wording.trace.compiled.notes;
        for (id, check) in self.wording.trace.checks() {
            if !notes.is_within(self.wording.line(id).scope, self.scope) {
                continue;
            }
            let key = name_of(self.wording, id, self.scope);
            let free = known.get(&key).and_then(|places| places.iter().find(|at| pairs[**at].is.is_none()).copied());
            match free {
                Some(at) => pairs[at].is = Some((id, check)),
                None => pairs.push(Pair { name: key.2, was: None, is: Some((id, check)) }),
            }
        }
        pairs
    }

    fn ratio_row(&self, pair: &Pair<'_>) -> RatioRow {
        let side = |of: &Wording<'_>, check: Option<(LineId, &Check)>| -> (Option<Verdict>, f64, String) {
            let Some((id, check)) = check else { return (None, f64::NAN, String::new()) };
            let (verdict, ratio) = (of.trace.verdict(id, check), of.trace.register(check.ratio));
            let shown = matches!(verdict, Verdict::Satisfied | Verdict::NotSatisfied);
            (Some(verdict), ratio, if shown { ratio_text(ratio) } else { String::new() })
        };
        let (was, old, old_text) = side(&self.before, pair.was);
        let (is, new, new_text) = side(self.wording, pair.is);
        let (old_text, new_text) = told_apart((old, old_text), (new, new_text));
        let change = match (old_text.is_empty() || new_text.is_empty(), percent(old, new)) {
            (false, Some(_)) if old == new => "same".to_owned(),
            (false, Some(change)) => percent_text(change),
            _ => String::new(),
        };
        RatioRow {
            id: pair.is.map_or_else(String::new, |(id, _)| self.wording.addresses.line(id).to_owned()),
            number: pair.is.map_or(0, |(id, _)| self.wording.trace.number(id)),
            description: Wording::described(&pair.name),
            was: old_text,
            is: new_text,
            change,
            verdict_was: was.map(verdict_view),
            verdict: is.map(verdict_view),
            is_flipped: was != is,
        }
    }
}

/// Whether two tables have the same rows in the columns of the old one, in whatever order.
fn is_same_table((old, was): (&Trace, &Table), (new, is): (&Trace, &Table)) -> bool {
    let is_same_row = |(at, label): (usize, &String)| {
        let Some(other) = is.labels.iter().position(|own| own == label) else { return false };
        let (was, is) = (was.row(at), is.row(other));
        let is_same_field = |(name, value): &(String, Value)| {
            is.fields.iter().any(|(own, other)| own == name && is_same((old, value), (new, other)))
        };
        was.fields.iter().all(is_same_field)
    };
    was.labels.len() == is.labels.len() && was.labels.iter().enumerate().all(is_same_row)
}

/// Two ratios as shown; with as many decimals more as it takes to tell them apart where they are not the same.
fn told_apart((old, old_text): (f64, String), (new, new_text): (f64, String)) -> (String, String) {
    if old_text != new_text || percent(old, new).is_none_or(|change| change.abs() < 0.05) {
        return (old_text, new_text);
    }
    let texts = |decimals: usize| (format!("{old:.decimals$}"), format!("{new:.decimals$}"));
    (3..6).map(texts).find(|(old, new)| old != new).unwrap_or((old_text, new_text))
}

/// One value of a product on both sides, as the files write it.
fn product_row(name: &str, old: &DataFile, new: &DataFile) -> ProductRow {
    let (was, is) = (old.values.get(name), new.values.get(name));
    let text = |entry: Option<&DataEntry>| {
        entry.map_or_else(|| "not stated".to_owned(), |entry| print_expression(&entry.value))
    };
    let numbers = was.zip(is).and_then(|(was, is)| Some((number(was)?, number(is)?)));
    let differs = match &numbers {
        Some(((a, of_a), (b, of_b))) => a != b || of_a.dimension() != of_b.dimension(),
        None => text(was) != text(is),
    };
    let same = numbers.filter(|((_, of_a), (_, of_b))| of_a.dimension() == of_b.dimension());
    let change = same.and_then(|((a, _), (b, _))| percent(a, b)).filter(|_| differs);
    let words = [is, was].into_iter().flatten().map(|entry| &entry.description).find(|words| !words.is_empty());
    ProductRow {
        symbol: symbol_html(name),
        description: words.map_or_else(Default::default, |words| Wording::described(words)),
        was: text(was),
        is: text(is),
        change: change.map_or_else(String::new, percent_text),
        differs,
    }
}

/// The number that an entry writes, in SI units, and its unit.
fn number(entry: &DataEntry) -> Option<(f64, Unit)> {
    let (expression, sign) = match &entry.value.kind {
        ExpressionKind::Unary(_, operand) => (operand.as_ref(), -1.0),
        _ => (&entry.value, 1.0),
    };
    let ExpressionKind::Number(digits, unit) = &expression.kind else { return None };
    let unit = match unit {
        Some(text) => Unit::parse(&text.node).ok()?,
        None => Unit::one(),
    };
    Some((sign * unit.literal_to_si(digits)?, unit))
}

#[cfg(test)]
mod tests {
    use super::told_apart;

    #[test]
    fn ratios_that_differ_are_shown_with_the_decimals_that_tell_them_apart() {
        let shown = |old: f64, new: f64| told_apart((old, format!("{old:.2}")), (new, format!("{new:.2}")));
        let texts = |old: &str, new: &str| (old.to_owned(), new.to_owned());
        assert_eq!(shown(0.934, 0.939), texts("0.93", "0.94"));
        assert_eq!(shown(0.931, 0.934), texts("0.931", "0.934"));
        assert_eq!(shown(0.012_34, 0.012_36), texts("0.0123", "0.0124"));
        assert_eq!(shown(0.931, 0.931), texts("0.93", "0.93"));
        assert_eq!(shown(0.931, 0.931_01), texts("0.93", "0.93"), "less than anybody would look for");
        assert_eq!(told_apart((f64::NAN, String::new()), (1.0, String::new())), texts("", ""));
    }
}
