//! Records as people export them, and what is to come of them.

mod attacks;
mod dialects;
mod done;
mod figures;
mod judging;
mod properties;

use super::*;
use std::sync::Arc;
use uom::si::f64::{Length, Ratio, Torque};
use uom::si::length::millimeter;
use uom::si::ratio::percent;
use uom::si::torque::newton_meter;

/// A torque in N·m.
fn torque(value: f64) -> Torque {
    Torque::new::<newton_meter>(value)
}

/// 60 N·m ± 4 % and nothing else.
fn plain_demand() -> Demand {
    Demand {
        torque: TorqueBand::around(torque(60.0), Ratio::new::<percent>(4.0)),
        embedment: None,
        batches: None,
        cure: None,
    }
}

/// 68 mm to 90 mm, 70 mm asked for.
fn depth() -> EmbedmentBand {
    let millimetres = Length::new::<millimeter>;
    EmbedmentBand { target: millimetres(70.0), lower: millimetres(68.0), upper: millimetres(90.0) }
}

/// One base B4 with these anchors, whose tools need no calibration.
fn specification(anchors: &[&str], demand: Demand) -> Specification {
    Specification {
        bases: vec![Base {
            id: "B4".to_owned(),
            anchors: anchors.iter().map(|&anchor| anchor.to_owned()).collect(),
            demand: Arc::new(demand),
            order: Order::NotRequired,
        }],
        calibration: Calibration::WhereStated,
        ..Specification::default()
    }
}

/// The columns `Anchor` and `Torque`.
fn two_columns() -> Mapping {
    Mapping::default().column(Field::Anchor, "Anchor").column(Field::Torque, "Torque")
}

/// Everything that stands against a file, one line each.
#[track_caller]
fn refusal(bytes: &[u8], mapping: &Mapping, specification: &Specification) -> String {
    match judge(bytes, mapping, specification) {
        Ok(report) => panic!("expected a refusal, got {:?}", report.totals),
        Err(mistakes) => mistakes.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"),
    }
}

#[track_caller]
fn accepted(bytes: &[u8], mapping: &Mapping, specification: &Specification) -> Report {
    match judge(bytes, mapping, specification) {
        Ok(report) => {
            adds_up(&report.totals);
            report
        }
        Err(mistakes) => panic!("{mistakes:#?}"),
    }
}

/// The torque of every anchor that has a record, in N·m.
fn torques(report: &Report) -> Vec<f64> {
    let rows = report.anchors.iter().filter_map(|verdict| verdict.row);
    rows.filter_map(|row| match report.record(row).torque {
        TorqueReading::Measured(torque) => Some(torque.get::<newton_meter>()),
        _ => None,
    })
    .collect()
}

#[track_caller]
fn adds_up(totals: &Totals) {
    let anchors = totals.passed + totals.failed + totals.missing + totals.duplicate + totals.unreadable;
    assert_eq!(anchors, totals.specified, "{totals:?}");
    assert_eq!(totals.rows_judged + totals.rows_in_error, totals.rows_read, "{totals:?}");
    let judged = totals.passed + totals.failed + totals.rows_held_back + totals.rows_superseded + totals.rows_unlisted;
    assert_eq!(judged, totals.rows_judged, "{totals:?}");
    assert!(totals.passed_as_specified <= totals.accepted && totals.accepted <= totals.passed, "{totals:?}");
}
