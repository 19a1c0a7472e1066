//! Test links: what each does to the circuit of its core, as found and as left. Only a section that says
//! `stage: as left` shows how a circuit was left.

use super::restored::goes_to_service;
use super::state::{as_left, is_spare};
use super::text;
use crate::document::{Grade, Phrase, say};
use crate::ground::span::{Given, Span};
use crate::judge::assess::Judging;
use crate::judge::finding::{Finding, Verdict, unit};
use crate::judge::rules::test_links as rules;
use crate::record::kinds::Test;
use crate::record::kinds::restored::CoreRestored;
use crate::record::kinds::state::{Links, Secondary};
use crate::record::kinds::test_links::{Position, TestLinkRow};
use crate::record::schema::Stage;
use crate::trade::mark;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, body) in j.case.visit.of(Test::test_links) {
        let left = test.stage.value() == Some(&Stage::AsLeft);
        let doubtful = test.doubtful.or(test.stage.unreadable());
        for row in &body.rows {
            let Some((core, position)) = row.core.zip(row.position.value().copied()) else {
                continue;
            };
            let of_core = OfCore { j, core };
            let link = of_core.link(left, row, position);
            let differs = of_core.differs(position).filter(|_| left);
            let found = std::iter::once((link, None)).chain(differs);
            out.extend(found.map(|(finding, at)| {
                let mut finding = finding.within(index, Some(core), row.span);
                finding.points_at.extend(at);
                finding.of_row(&row.item, &row.remark).withheld(doubtful)
            }));
        }
    }
}

/// A core whose links are looked at.
struct OfCore<'j, 'a> {
    j: &'j Judging<'a>,
    core: usize,
}

impl OfCore<'_, '_> {
    /// One link, as left or not.
    fn link(&self, left: bool, row: &TestLinkRow, position: Position) -> Finding {
        let finding = Finding::without(&rules::TEST_LINK, unit::ONE).headline();
        let finding = finding.observed(word(position));
        let serves = !self.is_spare();
        let stays_in_store = !goes_to_service(self.j);
        let shorted = position == Position::Shorted;
        match (position, left) {
            (Position::Open, _) => finding.graded(Grade::Fails),
            (Position::Shorted, true) if serves && !stays_in_store => finding.graded(Grade::Fails),
            (Position::Through, true) if !serves => finding
                .observed("through, though spare")
                .graded(Grade::Review),
            (Position::Through | Position::Shorted, true) => finding.graded(Grade::Info),
            (Position::Through | Position::Shorted, false) if self.is_forgotten(row) => finding
                .observed(say!("{}, and not among those as left", word(position)))
                .graded(Grade::Review),
            (Position::Through | Position::Shorted, false)
                if shorted && serves && !stays_in_store =>
            {
                finding.graded(Grade::Review)
            }
            (Position::Through | Position::Shorted, false) => finding.verdict(Verdict::NotShown(
                "needs its position with `stage: as left`".into(),
            )),
        }
    }

    /// Whether the core serves nothing, by the plate or by what the visit says of it.
    fn is_spare(&self) -> bool {
        let found = self.j.case.visit.of(Test::state);
        let found = found.flat_map(|(_, _, state)| &state.cores);
        let found = found.filter(|row| row.core == Some(self.core));
        let rows = found.map(|row| &row.in_service);
        let mut rows = rows.chain(as_left(self.j, self.core).map(|row| &row.in_service));
        let said = |given: &Given<String>| is_spare(self.j, self.core, given);
        said(&Given::Missing) || rows.any(said)
    }

    /// Whether links of the core were written down as left, and this one is not among them.
    fn is_forgotten(&self, row: &TestLinkRow) -> bool {
        let all = self.j.case.record.tests_of_day(self.j.case.index);
        let left = all
            .into_iter()
            .filter(|test| test.stage.value() == Some(&Stage::AsLeft));
        let left = left
            .filter_map(Test::test_links)
            .flat_map(|body| &body.rows);
        let mut left = left
            .filter(|other| other.core == Some(self.core) && other.position.value().is_some())
            .peekable();
        left.peek().is_some() && left.all(|other| !mark::is_one(text(&other.item), text(&row.item)))
    }

    /// What the same visit says otherwise of the circuit as left, and where.
    fn differs(&self, position: Position) -> Option<(Finding, Option<Span>)> {
        let mut rows = as_left(self.j, self.core);
        let other = rows.find(|left| self.contradicts(position, left))?;
        let links = other.links.value().map(|links| match links {
            Links::Open => "links open",
            Links::Closed => "links closed",
        });
        let secondary = other.secondary.value().map(|secondary| match secondary {
            Secondary::Connected => "secondary connected",
            Secondary::Shorted => "secondary shorted",
            Secondary::Open => "secondary open",
        });
        let said = links.into_iter().chain(secondary).map(Phrase::from);
        let observed = say!(
            "{} here, and {} as left",
            word(position),
            Phrase::join(said, ", ")
        );
        let finding = Finding::observation(&rules::TEST_LINKS_DIFFER, observed, Grade::Review);
        Some((finding, Some(other.span)))
    }

    /// Whether a row of the circuit as left cannot be true beside a link in this position.
    fn contradicts(&self, position: Position, left: &CoreRestored) -> bool {
        let (links, secondary) = (left.links.value(), left.secondary.value());
        match position {
            Position::Through => {
                let off = matches!(secondary, Some(Secondary::Shorted | Secondary::Open));
                off || links == Some(&Links::Open)
            }
            Position::Shorted => match secondary {
                Some(Secondary::Connected | Secondary::Open) => true,
                Some(Secondary::Shorted) => false,
                None => links == Some(&Links::Closed) && !self.is_spare(),
            },
            Position::Open => {
                let on = matches!(secondary, Some(Secondary::Connected | Secondary::Shorted));
                on || links == Some(&Links::Closed)
            }
        }
    }
}

fn word(position: Position) -> &'static str {
    match position {
        Position::Through => "through",
        Position::Shorted => "shorted",
        Position::Open => "open",
    }
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::{Bench, PLATE, table, visit};

    fn links(stage: &str, rows: &str) -> String {
        format!("[test-links]\n{stage}core | item | position\n{rows}\n\n")
    }

    const LEFT: &str = "stage: as left\n";
    const FOUND: &str = "stage: as found\n";
    const NEEDS: &str = "not shown: needs its position with `stage: as left`";

    #[test]
    fn a_circuit_is_left_through_and_a_spare_core_shorted() {
        let plate = PLATE.replace("class: PX\n", "class: PX\nuse: spare\n");
        let of = |row: &str| {
            let (stage, row) = row.split_once(' ').unwrap();
            let stage = match stage {
                "left" => LEFT,
                "found" => FOUND,
                _ => "",
            };
            Bench::of(&visit(&plate, &links(stage, row)))
        };
        table(
            "test-link",
            of,
            &[
                ("left 1S | X1 | through", "info"),
                ("left 1S | X1 | shorted", "fails"),
                ("left 1S | X1 | open", "fails"),
                ("left 1S | X1 | -", ""),
                ("left 2S | X2 | shorted", "info"),
                ("left 2S | X2 | through", "review"),
                ("left 2S | X2 | open", "fails"),
                ("found 1S | X1 | through", NEEDS),
                ("found 1S | X1 | shorted", "review"),
                ("found 1S | X1 | open", "fails"),
                ("found 2S | X2 | shorted", NEEDS),
                ("none 1S | X1 | through", NEEDS),
                ("none 1S | X1 | shorted", "review"),
            ],
        );
        of("left 1S | X1 | shorted").holds("test-link", &["test link, X1: shorted"]);
    }

    /// In the store the core stays shorted, and a row that calls it spare is as good as the plate.
    #[test]
    fn a_shorted_core_that_feeds_nothing_is_as_it_is_to_be() {
        let shorted = links(LEFT, "1S | X1 | shorted");
        let store = visit(PLATE, &shorted).replace("investigation", "receiving");
        assert_eq!(Bench::of(&store).told("test-link"), "info");
        let spare = "[restored]\ncore | in service | secondary\n1S | spare | shorted\n";
        let spare = Bench::visit(&(shorted + spare));
        assert_eq!(spare.told("test-link"), "info");
        assert_eq!(spare.told("test-links-differ"), "");
    }

    #[test]
    fn a_link_that_is_forgotten_as_left_is_told() {
        let found = links(
            FOUND,
            "1S | X1 | through\n1S | X2 | through\n2S | X3 | through",
        );
        let left = links(LEFT, "1S | X1 | through");
        let bench = Bench::visit(&(found + &left));
        let told =
            ["", "review", "", "info"].map(|told| if told.is_empty() { NEEDS } else { told });
        assert_eq!(bench.told("test-link"), told.join(" | "));
        let forgotten = bench.all("test-link")[1].observed.plain(|_| 0);
        assert_eq!(forgotten, "through, and not among those as left");
    }

    #[test]
    fn links_and_circuit_as_left_must_agree() {
        let both = |rows: &str| {
            let (position, left) = rows.split_once(" // ").unwrap();
            let row = format!("1S | X1 | {position}");
            let restored = format!("[restored]\ncore | links | secondary\n1S | {left}\n");
            Bench::visit(&(links(LEFT, &row) + &restored))
        };
        table(
            "test-links-differ",
            both,
            &[
                ("through // closed | connected", ""),
                ("through // - | -", ""),
                ("through // open | -", "review"),
                ("through // closed | shorted", "review"),
                ("through // closed | open", "review"),
                ("shorted // - | shorted", ""),
                ("shorted // closed | -", "review"),
                ("shorted // - | connected", "review"),
                ("open // closed | -", "review"),
                ("open // - | connected", "review"),
                ("open // open | open", ""),
            ],
        );
        both("through // open | -").holds(
            "test-links-differ",
            &["X1: through here, and links open as left"],
        );
        // How it was found is no contradiction to how it was left.
        let found = links(FOUND, "1S | X1 | open") + "[restored]\ncore | links\n1S | closed\n";
        assert_eq!(Bench::visit(&found).told("test-links-differ"), "");
    }
}
