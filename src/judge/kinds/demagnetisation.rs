//! Demagnetisation: a source that cannot saturate the core did not demagnetise it.

use crate::derive::kinds::demagnetisation::{Brought, End, Start};
use crate::derive::kinds::excitation::Excited;
use crate::derive::knee::Knee;
use crate::derive::outcome::Outcome;
use crate::document::{Grade, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::Word;
use crate::judge::finding::{Against, Finding, RATED_PRIMARY_CURRENT, Verdict, unit};
use crate::judge::rules::demagnetisation as rules;
use crate::record::kinds::demagnetisation::Method;
use crate::record::kinds::excitation::Ended;
use crate::record::kinds::{Flux, Test};
use crate::standards::threshold;
use crate::trade::Purpose;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for brought in &j.derived.demagnetisation {
        let start = remarked(brought, start(j, brought)).headline();
        for finding in [Some(start), end(brought)].into_iter().flatten() {
            let finding = finding.at(brought.test, brought.pair, brought.readings.clone());
            out.push(finding.withheld(brought.doubtful));
        }
    }
    // A certificate's order is not the order of the work.
    if j.case.visit.purpose() != Purpose::Factory {
        let cores = 0..j.case.record.cores.len();
        out.extend(cores.filter_map(|core| left(j, core)));
    }
}

/// What direct current left on a core, as far as this visit or an earlier one tells.
fn left(j: &Judging<'_>, core: usize) -> Option<Finding> {
    let rule = &rules::DIRECT_CURRENT_LAST;
    let (index, test, flux) = last_flux(j, core)?;
    let observed = |what, grade| {
        let finding = Finding::observation(rule, what, grade);
        finding.within(index, Some(core), test.span)
    };
    let told = |finding: &Finding| finding.rule == rule && finding.core == Some(core);
    let mut before = j.earlier.iter().flat_map(|visit| &visit.findings);
    match flux {
        Flux::Remains => Some(observed(
            "direct current was on the core, and no demagnetisation came after it",
            Grade::Review,
        )),
        Flux::Tripped => Some(observed(
            "the excitation was cut off at voltage, and no demagnetisation came after it",
            Grade::Review,
        )),
        Flux::Cleared if before.any(told) => Some(observed("demagnetised since", Grade::Info)),
        Flux::Cleared | Flux::Measured | Flux::Untouched => None,
    }
}

/// The last that a visit did to a core's flux: left it magnetised, or took that out of it. A curve that was
/// taken after direct current shows what remained of it, unless a demagnetisation stood before both.
fn last_flux<'a>(j: &Judging<'a>, core: usize) -> Option<(usize, &'a Test, Flux)> {
    let mut last: Option<(usize, &Test, Flux)> = None;
    let mut cleared = false;
    for (index, test) in j.case.visit.tests.iter().enumerate() {
        let flux = match test.flux_on(core) {
            Flux::Measured if demagnetises(j, index, test) => Flux::Cleared,
            flux => flux,
        };
        match flux {
            Flux::Remains | Flux::Tripped => last = Some((index, test, flux)),
            Flux::Cleared => {
                cleared = true;
                last = Some((index, test, flux));
            }
            Flux::Measured if !cleared => last = None,
            Flux::Measured | Flux::Untouched => {}
        }
    }
    last
}

/// Whether a run went beyond the knee and then down to zero, as a demagnetisation does: common practice, no
/// source.
fn demagnetises(j: &Judging<'_>, index: usize, test: &Test) -> bool {
    let run = test.excitation();
    let to_zero = run.is_some_and(|run| run.ended.value() == Some(&Ended::Zero));
    let mut curves = j.derived.excitation.iter();
    let beyond = |curve: &Excited| matches!(curve.deciding(&j.case), Knee::At(_));
    to_zero && curves.any(|curve| curve.test == index && beyond(curve))
}

fn start(j: &Judging<'_>, brought: &Brought) -> Finding {
    const KNEE: (&str, &str) = ("the knee", "demagnetisation-above-knee");
    const RATED: (&str, &str) = (RATED_PRIMARY_CURRENT, "demagnetisation-closed");
    let rule = &rules::DEMAGNETISATION_START;
    let ((over, least), found) = match brought.start {
        Start::OverKnee(value) => (KNEE, Outcome::Known(value)),
        Start::OverKneeLess(value) => (KNEE, Outcome::AtMost(value)),
        Start::OverRated(value) => (RATED, Outcome::Known(value)),
        Start::Unstated if brought.method != Method::Dc => {
            let needs = Verdict::NotShown("needs the value where it started".into());
            return Finding::without(rule, unit::ONE).verdict(needs);
        }
        Start::Unstated | Start::Alone => return Finding::without(rule, unit::ONE),
    };
    let finding = Finding::new(rule, found, unit::ONE).under(Condition::InTimesOf(over));
    let (Some(row), Some(value)) = (threshold(least), found.value()) else {
        return finding;
    };
    let against = Against::at_least(row.limit, &row.cited);
    let verdict = match (j.hold(value, &against), found) {
        // It fails no transformer: it is done again.
        (Verdict::Word(Word::Fail), _) => Verdict::Observed(Grade::Review),
        (_, Outcome::AtMost(_)) => Verdict::NotShown("needs a curve that reaches the knee".into()),
        (held, _) => held,
    };
    finding.held(against, verdict)
}

fn remarked(brought: &Brought, mut finding: Finding) -> Finding {
    if let Some(rule) = brought.knee {
        finding = finding.remark(say!("knee of this visit, {}", rule));
    }
    match brought.method {
        Method::Open if matches!(brought.start, Start::Alone) => {
            finding = finding
                .remark("not held against a knee: no usable curve of this core at this visit");
        }
        Method::Dc => finding = finding.remark(
            "by falling reversals of direct current; repeat the low end of the curve to show it",
        ),
        Method::Open | Method::Closed => {}
    }
    if brought.end == End::Zero {
        finding.remark("run down to zero")
    } else {
        finding
    }
}

fn end(brought: &Brought) -> Option<Finding> {
    let finding = Finding::without(&rules::DEMAGNETISATION_END, unit::ONE);
    match brought.end {
        End::Zero => None,
        End::Above => Some(
            finding
                .observed("not run down to zero")
                .graded(Grade::Review),
        ),
        End::Unstated => {
            let needs = "needs the value where it ended";
            Some(finding.verdict(Verdict::NotShown(needs.into())))
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::{Bench, table};

    /// A curve with its 10 % knee near 300 V on the full winding, 150 V on half of it.
    const CURVE: &str = "[excitation 2S1-2S3]\nvoltmeter: mean\nvoltage/V current/mA\n30 1.0\n60 1.6\n120 2.6\n180 3.4\n240 4.2\n\
        270 4.7\n300 5.5\n320 8.0\n340 20\n360 80\n\n";

    fn made(section: &str) -> Bench {
        Bench::visit(&format!("{CURVE}[demagnetisation {section}\n"))
    }

    #[test]
    fn a_source_that_does_not_reach_what_it_has_to_did_not_demagnetise() {
        table(
            "demagnetisation-start",
            made,
            &[
                ("1S1-1S2]\nmethod: closed\nstart: 730 A\nend: 0 A", "pass"),
                // At the limit its uncertainty may undo it.
                (
                    "1S1-1S2]\nmethod: closed\nstart: 720 A\nend: 0 A",
                    "conditional pass",
                ),
                // A little below it as well.
                (
                    "1S1-1S2]\nmethod: closed\nstart: 719.6 A\nend: 0 A",
                    "conditional fail",
                ),
                ("1S1-1S2]\nmethod: closed\nstart: 500 A\nend: 0 A", "review"),
                ("2S1-2S3]\nstart: 360 V\nend: 0 V", "pass"),
                ("2S1-2S3]\nstart: 180 V\nend: 0 V", "review"),
                // Half of the turns need half of the volts; a fifth of the frequency a fifth.
                ("2S1-2S2]\nstart: 180 V\nend: 0 V", "pass"),
                ("2S1-2S3]\nstart: 72 V\nfrequency: 10 Hz\nend: 0 V", "pass"),
                (
                    "2S1-2S3]\nstart: 36 V\nfrequency: 10 Hz\nend: 0 V",
                    "review",
                ),
            ],
        );
        let low = made("2S1-2S3]\nstart: 180 V\nend: 0 V");
        assert!(low.one("demagnetisation-start").action().is_some());
    }

    #[test]
    fn an_end_above_zero_is_told_and_a_missing_one_not_shown() {
        table(
            "demagnetisation-end",
            made,
            &[
                ("1S1-1S2]\nstart: 480 V\nend: 0 V", ""),
                ("1S1-1S2]\nstart: 480 V\nend: 40 V", "review"),
                (
                    "1S1-1S2]\nstart: 480 V\nduration: 30 s",
                    "not shown: needs the value where it ended",
                ),
            ],
        );
    }

    #[test]
    fn direct_current_after_the_last_demagnetisation_is_told() {
        let resistance = "[resistance 2S1-2S3]\nwires: 4\ntemperature: 20 C\nresistance/ohm\n3.2\n";
        let blank = resistance.replace("3.2", "-").replace("2S3", "2S2");
        let kick = "[polarity 2S1-2S3]\nmethod: kick\nplus on: P1\ndeflection: up on make\n";
        let down = "[demagnetisation 2S1-2S3]\nstart: 360 V\nend: 0 V\n";
        let undone = "[demagnetisation 2S1-2S3]\nstart: -\nend: -\n";
        let ended = |how: &str| CURVE.replace("mean\n", &format!("mean\nended: {how}\n"));
        let (tripped, zero) = (ended("tripped"), ended("zero"));
        let low: String = zero.split_inclusive('\n').take(8).collect();
        table(
            "direct-current-last",
            |order: &str| {
                let parts = order.split(' ').map(|part| match part {
                    "resistance" => resistance,
                    "blank" => &blank,
                    "kick" => kick,
                    "down" => down,
                    "undone" => undone,
                    "tripped" => &tripped,
                    "zero" => &zero,
                    "low" => &low,
                    _ => CURVE,
                });
                Bench::visit(&parts.collect::<String>())
            },
            &[
                ("resistance down curve", ""),
                ("resistance down curve kick", "review"),
                ("kick down curve resistance", "review"),
                ("down resistance curve", "review"),
                ("kick undone resistance", "review"),
                // What remains shows in the curve.
                ("resistance curve", ""),
                ("resistance down blank", ""),
                // Cut off at voltage it is as after direct current, also where the core had no flux before.
                ("down tripped", "review"),
                ("tripped", "review"),
                ("tripped down", ""),
                // Beyond the knee and down to zero is a demagnetisation; below the knee it is none.
                ("down resistance zero", ""),
                ("down resistance low", "review"),
                ("tripped zero", ""),
                ("zero tripped", "review"),
            ],
        );
    }
}
