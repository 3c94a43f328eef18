//! What holds of any file.

use super::*;
use proptest::prelude::*;

/// A row as a person would fill it.
#[derive(Clone, Debug)]
struct Line {
    anchor: usize,
    torque: f64,
    minute: u32,
    remark: String,
}

fn lines() -> impl Strategy<Value = Vec<Line>> {
    let remark = prop_oneof![Just(String::new()), "[a-zé\",;|\t\n '.]{1,12}"];
    let line = (0..20usize, 500..700u32, 0..600u32, remark).prop_map(|(anchor, tenths, minute, remark)| Line {
        anchor,
        torque: f64::from(tenths) / 10.0,
        minute,
        remark,
    });
    prop::collection::vec(line, 0..40)
}

/// How a file is written.
#[derive(Clone, Debug)]
struct Dialect {
    delimiter: Delimiter,
    comma: bool,
    carriage: bool,
    always_quoted: bool,
    encoding: Encoding,
    preamble: bool,
}

fn dialects() -> impl Strategy<Value = Dialect> {
    let encodings = [Encoding::Utf8, Encoding::Utf16LittleEndian, Encoding::Utf16BigEndian, Encoding::Windows1252];
    let choices =
        (prop::sample::select(&Delimiter::ALL[..]), prop::sample::select(encodings.to_vec()), any::<[bool; 4]>());
    choices.prop_map(|(delimiter, encoding, [comma, carriage, always_quoted, preamble])| Dialect {
        delimiter,
        comma,
        carriage,
        always_quoted,
        encoding,
        preamble,
    })
}

/// Writes lines by the writer of the `csv` package, which quotes by its own rules.
fn write(lines: &[Line], dialect: &Dialect) -> Vec<u8> {
    let mut writer = csv::WriterBuilder::new()
        .delimiter(dialect.delimiter.byte())
        .terminator(if dialect.carriage { csv::Terminator::CRLF } else { csv::Terminator::Any(b'\n') })
        .quote_style(if dialect.always_quoted { csv::QuoteStyle::Always } else { csv::QuoteStyle::Necessary })
        .from_writer(Vec::new());
    writer.write_record(["Anchor", "Time", "Torque (N·m)", "Remark"]).expect("a header");
    for line in lines {
        // One decimal shows which mark it is.
        let torque = format!("{:.1}", line.torque);
        let torque = if dialect.comma { torque.replace('.', ",") } else { torque };
        let time = format!("2026-11-02 {:02}:{:02}", 7 + line.minute / 60, line.minute % 60);
        writer.write_record([&format!("A{}", line.anchor), &time, &torque, &line.remark]).expect("a row");
    }
    let text = String::from_utf8(writer.into_inner().expect("bytes")).expect("text");
    let text = if dialect.preamble { format!("Logbook, sheet \"9\n\n{text}") } else { text };
    match dialect.encoding {
        Encoding::Utf8 => text.into_bytes(),
        Encoding::Utf16LittleEndian => {
            [b"\xff\xfe".to_vec(), text.encode_utf16().flat_map(u16::to_le_bytes).collect()].concat()
        }
        Encoding::Utf16BigEndian => {
            [b"\xfe\xff".to_vec(), text.encode_utf16().flat_map(u16::to_be_bytes).collect()].concat()
        }
        Encoding::Windows1252 => text.chars().map(|c| u8::try_from(u32::from(c)).expect("below 256")).collect(),
    }
}

/// Anchors A0 to A15 in order; A16 to A19 are not in the specification.
fn rules(duplicates: DuplicateRule) -> Specification {
    let anchors: Vec<String> = (0..16).map(|number| format!("A{number}")).collect();
    let names: Vec<&str> = anchors.iter().map(String::as_str).collect();
    let mut specification = specification(&names, plain_demand());
    specification.bases[0].order = Order::Listed(anchors.clone());
    specification.duplicates = duplicates;
    specification
}

fn columns() -> Mapping {
    two_columns().column(Field::Time, "time").column(Field::Remark, "REMARK")
}

proptest! {
    #[test]
    fn every_row_written_in_any_dialect_comes_out_as_it_went_in(lines in lines(), dialect in dialects()) {
        let report = accepted(&write(&lines, &dialect), &columns(), &rules(DuplicateRule::NoneCounts));
        prop_assert_eq!(report.totals.rows_judged, lines.len());
        prop_assert_eq!(report.totals.rows_in_error, 0, "{:?}", report.mistakes);
        prop_assert_eq!(report.notes.delimiter, dialect.delimiter);
        for (row, line) in (0u32..).zip(&lines) {
            let record = report.record(row);
            prop_assert_eq!(record.torque, TorqueReading::Measured(torque(line.torque)));
            prop_assert_eq!(record.remark, line.remark.trim());
            let minute = record.time.map(|time| time.milliseconds.rem_euclid(86_400_000) / 60_000 - 7 * 60);
            prop_assert_eq!(minute, Some(i64::from(line.minute)));
        }
    }

    #[test]
    fn the_order_of_rows_changes_no_verdict_and_no_figure(
        (lines, shuffled) in lines().prop_flat_map(|lines| (Just(lines.clone()), Just(lines).prop_shuffle())),
        dialect in dialects(),
        latest in any::<bool>(),
    ) {
        let rule = if latest { DuplicateRule::LatestCounts } else { DuplicateRule::NoneCounts };
        let [one, other] = [lines, shuffled].map(|lines| accepted(&write(&lines, &dialect), &columns(), &rules(rule)));
        prop_assert_eq!(&one.totals, &other.totals);
        let states = |report: &Report| report.anchors.iter().map(|verdict| verdict.state).collect::<Vec<_>>();
        prop_assert_eq!(states(&one), states(&other));
        prop_assert_eq!(&one.overall.torque, &other.overall.torque);
        prop_assert_eq!(&one.torques, &other.torques);
        prop_assert_eq!(&one.by_reason, &other.by_reason);
    }

    #[test]
    fn any_bytes_are_read_or_refused_and_rows_add_up(
        bytes in prop::collection::vec(prop::sample::select(b"A1,;\t|\"\r\n .60-/:\xff\xe9\0".to_vec()), 0..200),
        in_front in any::<bool>(),
    ) {
        let header: &[u8] = if in_front { b"Anchor;Torque (Nm)\n" } else { b"" };
        if let Ok(report) = judge(&[header, &bytes].concat(), &two_columns(), &rules(DuplicateRule::NoneCounts)) {
            adds_up(&report.totals);
        }
    }
}
