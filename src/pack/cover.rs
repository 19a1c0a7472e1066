//! The cover of a pack, the matrix and the lists, as the parts that `templates/pack.md` puts in order.

use super::config::{Config, Party};
use super::items::{self, Checked};
use super::lists;
use super::matrix::{self, Block as Unit, Cell as Verdict, Matrix};
use super::plan::Entry;
use crate::document::{
    Align, Block, Cell, Column, Figure, Filling, Grade, Inline, Picture, Pictures, Row, Table,
    TableStyle, Text, escape_html, slug, slug_or,
};
use crate::record::visit::Visit;
use std::collections::BTreeMap;

/// What stands on every page about safety.
pub const NO_CLEARANCE: &str = "A verdict is never a clearance to energise: local rules and licensed practice decide. \
Open secondaries of a current transformer in service, charge left after a d.c. test and d.c. on a winding can kill.";

/// The chapter that a CT whose record is not complete leads to.
const BROKEN: &str = "Records that are not complete";

/// Everything that a cover is made of.
pub struct Cover<'a> {
    pub config: &'a Config,
    pub entries: &'a [Entry],
    pub checked: &'a [Checked],
    /// The contractor's mark as a `data:` address; empty without one.
    pub logo: &'a str,
}

/// CTs under one heading, with the heading's anchor.
struct Group<'m> {
    name: String,
    anchor: String,
    cts: Vec<(&'m Entry, &'m Unit)>,
}

impl Cover<'_> {
    /// The parts; `whole` where the reports follow on the same page.
    pub fn parts(&self, whole: bool, pictures: &mut Pictures) -> Filling {
        let config = self.config;
        let matrix = matrix::matrix(self.entries);
        let groups = self.groups(&matrix);
        let caution = || Block::Caution(NO_CLEARANCE.into());
        let scope = || Block::Note(format!("{} {}", items::ONLY_THESE, items::IN_FULL).into());
        let entries = self.entries;
        let rules = lists::rules(entries, &config.methods);
        let chapters = [
            ("matrix", "Summary matrix", self.matrix(&matrix, &groups)),
            ("broken", BROKEN, lists::broken(entries)),
            ("defects", "Defects list", lists::defects(entries)),
            ("points", "Open points", lists::points(entries)),
            ("untested", "Not tested", lists::untested(entries)),
            ("instruments", "Instruments", lists::instruments(entries)),
            ("rule", "Decision rule and methods", rules),
            (
                "items",
                "What this report states",
                lists::items(self.checked),
            ),
            (
                "authorisation",
                "Authorisation and revisions",
                self.authorisation(),
            ),
        ];
        let mut filling = Filling::default();
        filling.line("title", Text::stated(&config.title));
        filling.line("number", Text::stated(&config.number));
        filling.flag("whole", whole);
        let contents = contents(&chapters, &groups);
        for (name, blocks) in [
            ("logo", self.logo()),
            ("facts", vec![self.facts()]),
            ("result", result(&matrix)),
            ("caution", vec![caution()]),
            ("scope", vec![scope()]),
            ("contents", contents),
            ("end", self.end(whole)),
        ] {
            filling.blocks(name, &blocks, pictures);
        }
        for (part, title, blocks) in chapters {
            let heading = (!blocks.is_empty()).then(|| Block::chapter(title));
            let all: Vec<Block> = heading.into_iter().chain(blocks).collect();
            filling.blocks(part, &all, pictures);
        }
        filling
    }

    fn logo(&self) -> Vec<Block> {
        let name = &self.config.contractor.name;
        let (address, alt) = (escape_html(self.logo), escape_html(name));
        let figure = Block::Figure(Figure {
            key: "logo".to_owned(),
            picture: Picture {
                element: format!("<img class=\"logo\" src=\"{address}\" alt=\"{alt}\">"),
                caption: String::new(),
            },
            instead: Text::default(),
        });
        let shown = (!self.logo.is_empty()).then_some(figure);
        let name = Block::Paragraph(Text::stated(name));
        shown.into_iter().chain([name]).collect()
    }

    fn facts(&self) -> Block {
        let config = self.config;
        let issued = config.issued.map(|day| day.value.to_string());
        Block::Table(Table::facts([
            ("Report number", Text::stated(&config.number)),
            ("Revision", Text::stated(&config.revision)),
            ("Issued", Text::stated(issued.unwrap_or_default())),
            ("Tests done", Text::stated(days(self.entries))),
            ("Client", party(&config.client, true)),
            ("Testing body", party(&config.contractor, false)),
            ("Job", Text::stated(&config.job)),
            ("Where the work was done", Text::stated(&config.site)),
        ]))
    }

    fn groups<'m>(&'m self, matrix: &'m Matrix) -> Vec<Group<'m>> {
        let mut groups: Vec<Group<'_>> = Vec::new();
        for unit in &matrix.blocks {
            let Some(entry) = self.entries.get(unit.entry) else {
                continue;
            };
            match groups.last_mut().filter(|group| group.name == entry.group) {
                Some(group) => group.cts.push((entry, unit)),
                None => {
                    let number = groups.len() + 1;
                    let wanted = slug_or(&entry.group, "place-not-stated");
                    let taken = groups.iter().any(|group| group.anchor == wanted);
                    let anchor = if taken {
                        format!("{wanted}-{number}")
                    } else {
                        wanted
                    };
                    groups.push(Group {
                        name: entry.group.clone(),
                        anchor,
                        cts: vec![(entry, unit)],
                    });
                }
            }
        }
        groups
    }

    fn matrix(&self, matrix: &Matrix, groups: &[Group<'_>]) -> Vec<Block> {
        let mut legend = Text::default();
        for (grade, meaning) in [
            (Grade::Pass, ": within its limit. "),
            (Grade::Open, ": not decided. "),
            (Grade::Review, ": for a person to weigh. "),
            (Grade::Fails, ": out of limits. "),
            (Grade::Info, ": done, no limit."),
        ] {
            legend = legend.join(Text::grade(grade)).plain(meaning);
        }
        let rule = "Per core, the tap in service counts; a worse result on another tap is named. An empty cell: not due.";
        let mut blocks = vec![Block::Paragraph(legend), Block::Note(rule.into())];
        for group in groups {
            blocks.push(Block::Heading {
                level: 3,
                text: group.title().into(),
                name: Some(group.anchor.clone()),
            });
            blocks.push(Block::Table(group.table(matrix)));
        }
        blocks
    }

    fn authorisation(&self) -> Vec<Block> {
        let config = self.config;
        let mut facts = people(self.entries);
        let authorised = match config.role.as_str() {
            "" => Text::stated(&config.authorised),
            role => Text::stated(&config.authorised).plain(format!(", {role}")),
        };
        facts.push(("Authorised by", authorised));
        let signature = match config.authorised.as_str() {
            "" => "Signature".to_owned(),
            name => format!("Signature, {name}"),
        };
        let signed = [&signature, "Place and date", "Received for the client"];
        let room = vec![vec![Cell::Blank; signed.len()]];
        let mut blocks = vec![
            Block::Table(Table::facts(facts)),
            Block::Table(Table::grid(&signed, room).named("grid signatures")),
            Block::heading(3, "Revisions"),
        ];
        let rows = config.history.iter().map(|one| {
            let date = one.date.map(|date| date.to_string()).unwrap_or_default();
            [&one.name, &date, &one.what]
                .map(|text| Text::stated(text).into())
                .to_vec()
        });
        let rows: Vec<Vec<Cell>> = rows.collect();
        blocks.push(if rows.is_empty() {
            Block::Paragraph(Text::stated(""))
        } else {
            Block::Table(Table::grid(&["Revision", "Date", "What"], rows))
        });
        blocks
    }

    fn end(&self, whole: bool) -> Vec<Block> {
        let number = match self.config.number.as_str() {
            "" => String::new(),
            number => format!(" {number}"),
        };
        let said = if whole {
            "The reports of the CTs follow.".to_owned()
        } else {
            let end = items::END;
            format!("{end}{number}. The reports of the CTs are parts of it.")
        };
        vec![Block::Group("end", vec![Block::paragraph(said)])]
    }
}

impl Group<'_> {
    fn title(&self) -> &str {
        match self.name.as_str() {
            "" => "Place not stated",
            name => name,
        }
    }

    fn table(&self, matrix: &Matrix) -> Table {
        let tests = matrix.columns.iter().map(|kind| sentence_case(kind.name()));
        let heads = ["CT, core", "Tap in service"].map(str::to_owned);
        let heads = heads.into_iter().chain(tests).chain(["Circuit".to_owned()]);
        let column = |head: String| Column {
            head: head.into(),
            align: Align::Left,
        };
        Table {
            style: TableStyle::Named("grid matrix"),
            columns: heads.map(column).collect(),
            rows: self
                .cts
                .iter()
                .flat_map(|(ct, unit)| rows(ct, unit))
                .collect(),
            ..Table::default()
        }
    }
}

/// The rows of one CT: its own line, then one a core.
fn rows(entry: &Entry, unit: &Unit) -> Vec<Row> {
    let cores = unit.rows.iter().map(|row| {
        let tap = Text::stated(&row.tap);
        let name = Text::from(&row.core).under(&row.plate);
        let cells = row.cells.iter().chain([&row.circuit]).map(cell);
        Row::Cells([name.into(), tap.into()].into_iter().chain(cells).collect())
    });
    std::iter::once(Row::Group(head(entry, unit)))
        .chain(cores)
        .collect()
}

/// The line of one CT: who it is, what it and its circuits came to, what concerns the whole unit.
fn head(entry: &Entry, unit: &Unit) -> Text {
    let name = match entry.position.as_str() {
        "" => entry.name.clone(),
        position => format!("{position}: {}", entry.name),
    };
    let visit = |visit: &Visit| {
        let purpose = visit.purpose.value().map_or("", String::as_str);
        format!("{} {purpose}", visit.name()).trim_end().to_owned()
    };
    let visits: Vec<String> = entry.visits().map(|(_, one)| visit(one)).collect();
    let visits = match visits.len() {
        0 => "no visit of this job".to_owned(),
        _ => visits.join(", "),
    };
    let mut said = Text::default()
        .join(report(entry, name))
        .plain(format!("; {visits}; CT: "))
        .join(verdict(&unit.ct, ", "))
        .plain("; circuit: ")
        .join(verdict(&unit.circuit, ", "));
    if !unit.complete {
        said = said.plain("; ").and(Inline::Link {
            anchor: slug(BROKEN),
            text: "record not complete".to_owned(),
        });
    }
    for (index, (kind, one)) in unit.unit.iter().enumerate() {
        let name = format!("{}:", sentence_case(kind.name()));
        said = match index {
            0 => said.and(Inline::Next(name)),
            _ => said.plain(format!("; {name}")),
        };
        said = said.plain(" ").join(verdict(one, " "));
    }
    said
}

/// A link to the report of a CT.
pub(super) fn report(entry: &Entry, text: String) -> Text {
    Text(vec![Inline::Report {
        slug: entry.slug.clone(),
        text,
    }])
}

/// Grade and word of a cell, without what stands below.
fn word(cell: &Verdict) -> Text {
    match cell.grade {
        Some(grade) => Text::graded(grade, cell.word),
        None if cell.word.is_empty() => Text::default(),
        None => format!("– {}", cell.word).into(),
    }
}

/// A verdict on one line.
fn verdict(cell: &Verdict, between: &str) -> Text {
    match cell.text.as_str() {
        "" => word(cell),
        text => word(cell).plain(format!("{between}{text}")),
    }
}

fn cell(cell: &Verdict) -> Cell {
    let text = word(cell).under(&cell.text);
    match cell.grade {
        Some(grade) => Cell::Graded(grade, text),
        None if text.is_empty() => Cell::Empty,
        None => Cell::Told(text),
    }
}

fn party(party: &Party, contact: bool) -> Text {
    let said = Text::stated(&party.name)
        .plain(", ")
        .join(Text::stated(&party.address));
    if contact || !party.contact.is_empty() {
        said.plain("; contact: ").join(Text::stated(&party.contact))
    } else {
        said
    }
}

type Chapter = (&'static str, &'static str, Vec<Block>);

fn contents(chapters: &[Chapter], groups: &[Group<'_>]) -> Vec<Block> {
    let link = |anchor: &str, text: &str| {
        Text(vec![Inline::Link {
            anchor: anchor.to_owned(),
            text: text.to_owned(),
        }])
    };
    let shown = chapters.iter().filter(|(.., blocks)| !blocks.is_empty());
    let list = shown.map(|(_, title, _)| link(&slug(title), title));
    let places = groups.iter().map(|group| {
        let mut cts = Text::default();
        for (entry, _) in &group.cts {
            let name = match entry.position.as_str() {
                "" => entry.name.clone(),
                position => position.to_owned(),
            };
            let between = if cts.is_empty() { "" } else { ", " };
            cts = cts.plain(between).join(report(entry, name));
        }
        (link(&group.anchor, group.title()), cts)
    });
    vec![
        Block::chapter("Contents"),
        Block::Steps(list.collect()),
        Block::Table(Table::facts(places)),
    ]
}

fn visits(entries: &[Entry]) -> impl Iterator<Item = &Visit> {
    entries
        .iter()
        .flat_map(|entry| entry.visits().map(|(_, visit)| visit))
}

fn days(entries: &[Entry]) -> String {
    let days = || visits(entries).map(|visit| visit.date.value);
    match (days().min(), days().max()) {
        (Some(first), Some(last)) if first != last => format!("{first} to {last}"),
        (Some(day), _) => day.to_string(),
        _ => String::new(),
    }
}

/// People of the visits: role, then names.
fn people(entries: &[Entry]) -> Vec<(&'static str, Text)> {
    type Of = fn(&Visit) -> Option<&String>;
    let roles: [(&'static str, bool, Of); 4] = [
        ("Tested by", true, |visit| visit.tested_by.value()),
        ("Reviewed by", true, |visit| visit.reviewed_by.value()),
        ("Witnessed by", false, |visit| visit.witnessed_by.value()),
        ("Authorised in the records by", false, |visit| {
            visit.authorised_by.value()
        }),
    ];
    let named = |(role, asked, of): (&'static str, bool, Of)| {
        let mut names: Vec<&str> = visits(entries).filter_map(of).map(String::as_str).collect();
        names.sort_unstable();
        names.dedup();
        (asked || !names.is_empty()).then(|| (role, Text::stated(names.join(", "))))
    };
    roles.into_iter().filter_map(named).collect()
}

fn result(matrix: &Matrix) -> Vec<Block> {
    let cts = matrix.blocks.iter().map(|unit| &unit.ct);
    let circuits = matrix.blocks.iter().map(|unit| &unit.circuit);
    let note = "Each CT once by its own verdict, once by that of the circuit it serves: a sound CT on too long a lead is not a defective CT.";
    vec![
        Block::chapter("Result in short"),
        Block::List(vec![counts("CTs: ", cts), counts("Circuits: ", circuits)]),
        Block::Note(note.into()),
    ]
}

/// How many came to what, the worst first.
fn counts<'a>(what: &str, verdicts: impl Iterator<Item = &'a Verdict>) -> Text {
    let mut found: BTreeMap<std::cmp::Reverse<Grade>, usize> = BTreeMap::new();
    for grade in verdicts.filter_map(|verdict| verdict.grade) {
        *found.entry(std::cmp::Reverse(grade)).or_default() += 1;
    }
    let mut said = Text::from(what);
    for (index, (grade, count)) in found.into_iter().enumerate() {
        let between = if index == 0 { "" } else { ", " };
        let word = format!("{count} {}", grade.0.word());
        said = said.plain(between).join(Text::word(grade.0, word));
    }
    said
}

fn sentence_case(text: &str) -> String {
    let mut rest = text.chars();
    rest.next()
        .map(|first| first.to_uppercase().chain(rest).collect())
        .unwrap_or_default()
}
