//! The sheet of one unit or of a set, put together in the order of the work.

use super::cards::{self, Wanted};
use super::deciding;
use super::front;
use super::job::Job;
use super::left::as_left;
use super::plan::Setup;
use crate::document::{Block, Table, joined};
use crate::trade::Purpose;
use strum::VariantArray;

/// A sheet before it is printed: its parts, as its template names them.
pub struct Sheet {
    pub title: String,
    /// Small print under the title.
    pub under: String,
    pub parts: [(&'static str, Vec<Block>); 6],
}

/// The whole sheet; `only` names the one core that is wanted, `left_out` the units of the set that are not on it.
pub fn sheet(
    jobs: &[Job<'_>],
    only: Option<&str>,
    (told, left_out): (&[String], Option<String>),
) -> Sheet {
    let wanted = Wanted { jobs, only };
    let mut order = front::order(wanted);
    order.extend(left_out.map(Block::paragraph));
    // What is read on load stands behind what is restored.
    let setups = Setup::VARIANTS.iter().filter(|setup| !setup.is_live());
    let tests = setups.flat_map(|setup| {
        // Direct current before the tests that it spoils; no link is closed between a test and `as_left`.
        let before = match setup {
            Setup::Winding => cards::kick(wanted),
            Setup::Burden => [
                deciding::deciding(wanted),
                cards::last_demagnetisation(wanted),
            ]
            .concat(),
            _ => Vec::new(),
        };
        let own = cards::setup(wanted, *setup);
        before.into_iter().chain(own).collect::<Vec<_>>()
    });
    let names = joined(jobs.iter().map(|job| Some(job.label())), ", ");
    let (title, place) = match jobs {
        [job] => (
            format!("Worksheet: {}", job.record.plate.id_text()),
            job.place(),
        ),
        _ => (format!("Set worksheet: {names}"), String::new()),
    };
    let first = jobs.first();
    let under = [
        Some(place).filter(|text| !text.is_empty()),
        first.map(|job| Purpose::read(job.purpose).visit(job.purpose)),
        first.map(|job| format!("values for {} \u{b0}C", job.celsius)),
    ];
    Sheet {
        title,
        under: joined(under, " \u{b7} "),
        parts: [
            ("cautions", front::first_page(wanted, told)),
            ("plate", front::plate(wanted)),
            ("order", order),
            ("as_found", front::as_found(wanted)),
            ("tests", tests.collect()),
            ("as_left", as_left(wanted)),
        ],
    }
}

/// A table with named rows to write into; `heads` are parted by ` | `.
pub fn to_write(caption: &str, heads: &str, names: Vec<String>) -> Block {
    let heads: Vec<&str> = heads.split(" | ").collect();
    Block::Table(Table::blank(&heads, names).captioned(caption))
}

/// Names that are parted by ` | `.
pub fn list(names: &str) -> Vec<String> {
    names.split(" | ").map(str::to_owned).collect()
}
