//! The cover of a pack, the matrix and the lists, as the parts that `templates/pack.md` puts in order.

use super::card::{Card, Gathered, ROLES};
use super::config::Config;
use super::items::{self, Checked};
use super::lists;
use super::matrix::{self, Block as Unit, Cell as Verdict, Matrix};
use super::plan::{Bay, Spot};
use super::punch;
use crate::document::{
    Block, Cell, Column, Figure, Filling, Grade, Inline, Phrase, Picture, Pictures, Row, Table,
    TableStyle, Text, escape_html, free, joined, print, slug, slug_or,
};
use crate::judge::requirement::{Overall, Standing};
use crate::report::sources;

/// What stands on every page about safety.
pub const NO_CLEARANCE: &str = "A verdict is never a clearance to energise: local rules and licensed practice decide. \
Open secondaries of a current transformer in service, charge left after a d.c. test and d.c. on a winding can kill.";

const MATRIX: &str = "Summary matrix";
/// The chapter that a CT whose record is not readable leads to.
const BROKEN: &str = "Records that cannot be read whole";

/// Everything that a cover is made of.
pub struct Cover<'a> {
    pub config: &'a Config,
    pub all: &'a Gathered,
    pub matrix: &'a Matrix,
    pub bays: &'a [Bay],
    pub checked: &'a [Checked],
    /// Files of which nothing is in the pack, each with the reason.
    pub lost: &'a [(String, String)],
    /// The contractor's mark as a `data:` address; empty without one.
    pub logo: &'a str,
}

/// CTs under one heading, with the heading's anchor.
struct Group<'m> {
    name: &'m str,
    anchor: String,
    cts: Vec<&'m Unit>,
}

impl Cover<'_> {
    /// The parts; `whole` where the reports follow on the same page.
    pub fn parts(&self, whole: bool, pictures: &mut Pictures) -> Filling {
        let (report, all, matrix) = (&self.config.file.report, self.all, self.matrix);
        let cards = all.cards.as_slice();
        let groups = groups(matrix);
        let mut filling = Filling::default();
        filling.line("title", Text::stated(&report.title));
        filling.line("number", Text::stated(&report.number));
        filling.flag("whole", whole);
        // A front grows with the pack: of its tables one is held at a time.
        let chapters: [Chapter<'_>; 10] = [
            ("broken", BROKEN, &|| lists::broken(cards, self.lost)),
            ("defects", "Defects list", &|| lists::defects(cards)),
            ("points", "Open points", &|| punch::short(cards)),
            ("untested", "Not tested", &|| lists::untested(all)),
            ("instruments", "Instruments", &|| lists::instruments(all)),
            ("rule", "Decision rule and methods", &|| {
                lists::rules(&all.rules, &report.methods)
            }),
            ("items", "What this report states", &|| {
                lists::items(self.checked)
            }),
            ("authorisation", "Authorisation and revisions", &|| {
                self.authorisation()
            }),
            ("sources", sources::TITLE, &|| lists::sources(&all.sources)),
            ("made_of", sources::MADE_OF, &|| lists::made_of(all)),
        ];
        let mut titles = vec![MATRIX];
        filling.part("matrix", summary(matrix, &groups));
        for (part, title, made) in chapters {
            let mut blocks = made();
            if !blocks.is_empty() {
                titles.push(title);
                blocks.insert(0, Block::chapter(title));
            }
            filling.blocks(part, &blocks, pictures);
        }
        let caution = Block::Caution(NO_CLEARANCE.into());
        let scope = Block::Note(format!("{} {}", items::ONLY_THESE, items::IN_FULL).into());
        for (name, blocks) in [
            ("logo", self.logo()),
            ("facts", vec![self.facts()]),
            ("result", result(matrix, cards)),
            ("caution", vec![caution]),
            ("scope", vec![scope]),
            ("contents", self.contents(&titles, &groups)),
            ("end", self.end(whole)),
        ] {
            filling.blocks(name, &blocks, pictures);
        }
        filling
    }

    fn logo(&self) -> Vec<Block> {
        let name = &self.config.file.contractor.name;
        let (address, alt) = (escape_html(self.logo), escape_html(name));
        let figure = Block::Figure(Figure {
            key: "logo".to_owned(),
            picture: Picture {
                element: format!("<img class=\"logo\" src=\"{address}\" alt=\"{alt}\">"),
                ..Picture::default()
            },
            instead: Text::default(),
        });
        let shown = (!self.logo.is_empty()).then_some(figure);
        let name = Block::Paragraph(Text::stated(name));
        shown.into_iter().chain([name]).collect()
    }

    fn facts(&self) -> Block {
        let file = &self.config.file;
        let (report, client, body) = (&file.report, &file.client, &file.contractor);
        let issued = self.config.issued.map(|day| day.value.to_string());
        let contact = match body.contact.as_str() {
            "" => None,
            contact => Some(contact),
        };
        Block::Table(Table::facts([
            ("Report number", Text::stated(&report.number)),
            ("Revision", Text::stated(&report.revision)),
            ("Issued", Text::stated(issued.unwrap_or_default())),
            ("Tests done", Text::stated(days(self.all))),
            (
                "Client",
                party(&client.name, &client.address, Some(&client.contact)),
            ),
            ("Testing body", party(&body.name, &body.address, contact)),
            ("Job", Text::stated(&file.job.name)),
            ("Where the work was done", Text::stated(&file.job.site)),
        ]))
    }

    fn authorisation(&self) -> Vec<Block> {
        let mut facts = people(self.all);
        let by = &self.config.file.authorised;
        let authorised = Text::stated(&by.name).plain(behind(", ", &by.role));
        facts.push(("Authorised by", authorised));
        let signature = format!("Signature{}", behind(", ", &by.name));
        let signed = [&signature, "Place and date", "Received for the client"];
        let room = vec![vec![Cell::Blank; signed.len()]];
        let mut blocks = vec![
            Block::Table(Table::facts(facts)),
            Block::Table(Table::grid(&signed, room).named("grid signatures")),
            Block::heading(3, "Revisions"),
        ];
        let rows = self.config.history.iter().map(|one| {
            let date = one.date.map(|date| date.to_string()).unwrap_or_default();
            let cells = [&one.name, &date, &one.what];
            cells.map(|text| Text::stated(text).into()).to_vec()
        });
        let revisions = Table::grid(&["Revision", "Date", "What"], rows.collect());
        blocks.push(lists::table(revisions, Text::stated("")));
        blocks
    }

    /// The chapters of the front, the punch list, and the CTs by their places.
    fn contents(&self, titles: &[&str], groups: &[Group<'_>]) -> Vec<Block> {
        let list = titles.iter().map(|title| link(&slug(title), title));
        let has_points = !punch::is_empty(&self.all.cards);
        let list = list.chain(has_points.then(|| page(punch::NAME, punch::TITLE)));
        let places = groups.iter().map(|group| {
            let mut cts = Text::default();
            for unit in &group.cts {
                let between = if cts.is_empty() { "" } else { ", " };
                cts = cts
                    .plain(between)
                    .join(report(&unit.spot, unit.spot.short()));
            }
            let first = group.cts.first();
            let bay = first.and_then(|unit| self.bays.get(unit.spot.bay?));
            if let Some(bay) = bay {
                cts = cts.plain("; ").join(page(&bay.path(), "side by side"));
            }
            (link(&group.anchor, group.title()), cts)
        });
        vec![
            Block::chapter("Contents"),
            Block::Steps(list.collect()),
            Block::Table(Table::facts(places)),
        ]
    }

    fn end(&self, whole: bool) -> Vec<Block> {
        let number = behind(" ", &self.config.file.report.number);
        let said = match (whole, items::END) {
            (true, _) => "The reports of the CTs follow.".to_owned(),
            (false, end) => format!("{end}{number}. The reports of the CTs are parts of it."),
        };
        vec![Block::Group("end", vec![Block::paragraph(said)])]
    }
}

/// What there is of a text, with something before it.
fn behind(between: &str, text: &str) -> String {
    match text {
        "" => String::new(),
        text => format!("{between}{text}"),
    }
}

/// The CTs of a matrix by their places.
fn groups(matrix: &Matrix) -> Vec<Group<'_>> {
    let mut groups: Vec<Group<'_>> = Vec::new();
    for unit in &matrix.blocks {
        let name = unit.spot.group.as_str();
        match groups.last_mut().filter(|group| group.name == name) {
            Some(group) => group.cts.push(unit),
            None => {
                let wanted = slug_or(name, "place-not-stated");
                let taken = |anchor: &str| groups.iter().any(|group| group.anchor == anchor);
                groups.push(Group {
                    name,
                    anchor: free(&wanted, 2, taken),
                    cts: vec![unit],
                });
            }
        }
    }
    groups
}

/// The legend, then a table for each place; printed, since it is the longest chapter.
fn summary(matrix: &Matrix, groups: &[Group<'_>]) -> String {
    let none = Phrase::default;
    let mut legend = Text::default();
    for (standing, meaning) in [
        (Standing::Met, ": within its limit, or as it is to be. "),
        (
            Standing::MetConditionally,
            ": within it, by less than the decision rule asks for. ",
        ),
        (
            Standing::Measured,
            ": no limit is known, or none that the test can show to be met. ",
        ),
        (Standing::NotShown(none()), ": due, and not on record. "),
        (
            Standing::NotTested(String::new()),
            ": due, and the record says why. ",
        ),
        (
            Standing::Undecided(none()),
            ": tested, and the readings cannot say. ",
        ),
        (
            Standing::Withheld(none()),
            ": tested, and a doubt stands against it. ",
        ),
        (Standing::NotMet, ": out of its limit. "),
    ] {
        legend = legend
            .join(Text::word(standing.grade(), standing.word()))
            .plain(meaning);
    }
    legend = legend
        .join(Text::grade(Grade::Review))
        .plain(": for a person to weigh.");
    let rule = "Per core, the tap in service counts; what is worse on another pair is named. An empty cell: not due, and not tested.";
    let head = [
        Block::chapter(MATRIX),
        Block::Paragraph(legend),
        Block::Note(rule.into()),
    ];
    let mut printed = print(&head, &mut Pictures::new());
    for group in groups {
        let heading = Block::Heading {
            level: 3,
            text: group.title().into(),
            name: Some(group.anchor.clone()),
        };
        let table = Block::Table(group.table(matrix));
        printed.push_str(&print(&[heading, table], &mut Pictures::new()));
    }
    printed
}

impl Group<'_> {
    fn title(&self) -> &str {
        match self.name {
            "" => "Place not stated",
            name => name,
        }
    }

    fn table(&self, matrix: &Matrix) -> Table {
        let tests = matrix.columns.iter().map(|kind| sentence_case(kind.name()));
        let heads = std::iter::once("CT, core".to_owned());
        let heads = heads.chain(tests).chain(["Circuit".to_owned()]);
        let column = |head: String| Column {
            head: head.into(),
            ..Column::default()
        };
        Table {
            style: TableStyle::Named("grid matrix stack"),
            columns: heads.map(column).collect(),
            rows: self
                .cts
                .iter()
                .flat_map(|unit| rows(unit, matrix))
                .collect(),
            ..Table::default()
        }
        .without_empty_columns()
    }
}

/// The rows of one CT: its own line, then one a core.
fn rows(unit: &Unit, matrix: &Matrix) -> Vec<Row> {
    let cores = unit.rows.iter().map(|row| {
        let tap = (!row.tap.is_empty()).then(|| format!("{} in service", row.tap));
        let plate = joined([Some(row.plate.clone()), tap], "; ");
        let name = Text::from(&row.core).under(plate);
        let tests = matrix.columns.iter().map(|kind| row.cell(*kind));
        let cells = tests.map(|one| one.map_or(Cell::Empty, cell));
        let all = std::iter::once(name.into()).chain(cells);
        Row::Cells(all.chain([cell(&row.circuit)]).collect())
    });
    let head = Row::Group(head(unit));
    std::iter::once(head).chain(cores).collect()
}

/// The line of one CT: who it is, what it and its circuits came to, what concerns the whole unit.
fn head(unit: &Unit) -> Text {
    let spot = &unit.spot;
    let name = match spot.position.as_str() {
        "" => spot.name.clone(),
        position => format!("{position}: {}", spot.name),
    };
    // Without a visit the verdict says so.
    let visits = match unit.visits.len() {
        0 => String::new(),
        _ => format!("; {}", unit.visits.join(", ")),
    };
    let mut said = report(spot, name)
        .plain(format!("{visits}; CT: "))
        .join(verdict(&unit.ct, ", "))
        .plain("; circuit: ")
        .join(verdict(&unit.circuit, ", "));
    if !unit.measurement.word.is_empty() {
        said = said.plain("; ").join(verdict(&unit.measurement, ": "));
    }
    if !unit.complete {
        said = said.plain("; ").join(link(&slug(BROKEN), "not readable"));
    }
    for (index, (kind, one)) in unit.unit.iter().enumerate() {
        let name = format!("{}:", sentence_case(kind.name()));
        said = match index {
            0 => said.and(Inline::Next(name)),
            _ => said.plain(format!("; {name}")),
        };
        said = said.plain(" ").join(verdict(one, ", "));
    }
    said
}

/// A link within the pack's front.
fn link(anchor: &str, text: &str) -> Text {
    let (anchor, text) = (anchor.to_owned(), text.to_owned());
    Text(vec![Inline::Link { anchor, text }])
}

/// A link from the front to the report of a CT.
pub(super) fn report(spot: &Spot, text: impl Into<String>) -> Text {
    page(&spot.path(), text)
}

/// A link to another page.
pub(super) fn page(path: &str, text: impl Into<String>) -> Text {
    let (path, text) = (path.to_owned(), text.into());
    Text(vec![Inline::Page { path, text }])
}

/// Grade and word of a cell, without what stands below.
fn word(cell: &Verdict) -> Text {
    match cell.grade {
        Some(grade) => Text::word(grade, &*cell.word),
        None if cell.word.is_empty() => Text::default(),
        None => format!("– {}", cell.word).into(),
    }
}

/// A verdict on one line.
fn verdict(cell: &Verdict, between: &str) -> Text {
    word(cell).plain(behind(between, &cell.text))
}

fn cell(cell: &Verdict) -> Cell {
    let text = word(cell).under(&*cell.text);
    match cell.grade {
        Some(grade) => Cell::Graded(grade, text),
        None if text.is_empty() => Cell::Empty,
        None => Cell::Told(text),
    }
}

fn party(name: &str, address: &str, contact: Option<&str>) -> Text {
    // Of somebody who is not named at all it is said once.
    let rest = [Some(address), contact];
    if name.is_empty() && rest.iter().flatten().all(|text| text.is_empty()) {
        return Text::stated("");
    }
    let address = match address {
        "" => Text::from("address: ").join(Text::stated("")),
        address => address.into(),
    };
    let said = Text::stated(name).plain(", ").join(address);
    match contact {
        Some(contact) => said.plain("; contact: ").join(Text::stated(contact)),
        None => said,
    }
}

/// A chapter: the part of the template, its title, and what makes it.
type Chapter<'a> = (&'static str, &'static str, &'a dyn Fn() -> Vec<Block>);

fn days(all: &Gathered) -> String {
    all.days
        .map(|(first, last)| lists::from_to(first, last))
        .unwrap_or_default()
}

/// People of the visits: role, then names.
fn people(all: &Gathered) -> Vec<(&'static str, Text)> {
    let roles = ROLES.iter().zip(&all.people);
    let named = roles.filter(|((_, asked, _), names)| *asked || !names.is_empty());
    let told = named.map(|((role, ..), names)| {
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        (*role, Text::stated(names.join(", ")))
    });
    told.collect()
}

fn result(matrix: &Matrix, cards: &[Card]) -> Vec<Block> {
    let cts = matrix.blocks.iter().map(|unit| &unit.ct);
    let circuits = matrix.blocks.iter().map(|unit| &unit.circuit);
    let ways = counts_of_measurement(matrix);
    let note = "Each CT once by its own verdict, once by that of the circuit it serves, and once by how it was measured: a sound CT on too long a lead is not a defective CT.";
    let counted = [
        Some(counts("CTs: ", cts)),
        Some(counts("Circuits: ", circuits)),
        ways,
    ];
    let mut blocks = vec![
        Block::chapter("Result in short"),
        Block::List(counted.into_iter().flatten().collect()),
        Block::Note(note.into()),
    ];
    let units = || matrix.blocks.iter().zip(cards);
    for (grade, title) in [(Grade::Fails, "What fails"), (Grade::Open, "What is open")] {
        let lines = units().filter_map(|(unit, card)| cause(unit, card, grade));
        let mut lines: Vec<Text> = lines.collect();
        let more = lines.len().saturating_sub(NAMED);
        lines.truncate(NAMED);
        lines.extend((more > 0).then(|| format!("and {more} more, in the matrix").into()));
        if !lines.is_empty() {
            blocks.extend([Block::heading(3, title), Block::List(lines)]);
        }
    }
    blocks
}

/// So many CTs of a grade are named on the cover.
const NAMED: usize = 24;

/// A CT by its name where one of its verdicts is of a grade: which, and why. What a CT lacks stands under what was not
/// tested; a circuit that is incomplete stands here, since it goes into service by it.
fn cause(unit: &Unit, card: &Card, grade: Grade) -> Option<Text> {
    let verdicts = [
        ("transformer", &unit.ct),
        ("circuit", &unit.circuit),
        ("measurement", &unit.measurement),
    ];
    let lacks = |cell: &Verdict| {
        std::ptr::eq(cell, &unit.circuit) && cell.word == Overall::Incomplete.word()
    };
    let told = verdicts.into_iter().filter(|(_, cell)| {
        let decided = [Overall::Incomplete.word(), Overall::Unasked.word(), ""]
            .iter()
            .all(|word| cell.word != *word);
        cell.grade == Some(grade) && (decided || lacks(cell))
    });
    let told: Vec<(&str, &Verdict)> = told.collect();
    let first = told.first()?;
    let spot = &unit.spot;
    let name = match spot.place().as_str() {
        "" => spot.name.clone(),
        place => format!("{place}: {}", spot.name),
    };
    let mut said = report(spot, name);
    for (what, cell) in &told {
        let word = match *what == cell.word {
            true => grade.word(),
            false => &cell.word,
        };
        said = said
            .plain("; ")
            .join(Text::word(grade, format!("{what} {word}")));
    }
    // What fails says what fails; what is open, what is its own and what puts others in doubt.
    let own = card.defects.iter().filter(|defect| match grade {
        Grade::Fails => defect.grade == grade,
        _ => defect.is_doubt() || told.iter().any(|(what, _)| *what == defect.whose.word()),
    });
    let lacking = told.iter().find(|(_, cell)| lacks(cell));
    let lacking = lacking.map(|(_, cell)| cell.text.to_string());
    let causes: Vec<String> = own
        .map(|defect| {
            let cores = Some(defect.cores.join(", ")).filter(|cores| !cores.is_empty());
            joined([cores, Some(defect.cause.to_string())], " ")
        })
        .chain(lacking)
        .collect();
    let why = match causes.join("; ") {
        none if none.is_empty() => first.1.text.to_string(),
        causes => causes,
    };
    Some(said.plain(behind(": ", &why)))
}

/// How many were measured how; nothing where no CT was.
fn counts_of_measurement(matrix: &Matrix) -> Option<Text> {
    let measured = matrix.blocks.iter().filter(|unit| !unit.visits.is_empty());
    let grades: Vec<Grade> = measured
        .map(|unit| unit.measurement.grade.unwrap_or(Grade::Pass))
        .collect();
    let words = [
        (Grade::Fails, "fails"),
        (Grade::Review, "for review"),
        (Grade::Open, "open"),
        (Grade::Pass, "without a fault found"),
    ];
    let counted = words.map(|(grade, word)| {
        let own = grades.iter().filter(|own| match grade {
            Grade::Pass => **own <= Grade::Pass,
            _ => **own == grade,
        });
        (word, grade, own.count())
    });
    (!grades.is_empty()).then(|| told("Measurements: ", counted))
}

/// How many came to what, the worst first.
fn counts<'a>(what: &str, verdicts: impl Iterator<Item = &'a Verdict>) -> Text {
    let verdicts: Vec<&Verdict> = verdicts.collect();
    let words = Overall::ALL
        .iter()
        .rev()
        .map(|one| (one.word(), one.grade()));
    let words = words.chain([(matrix::NOT_TESTED, Grade::Open)]);
    // Of what nothing is asked there is no verdict, and nothing to count.
    let counts = words.map(|(word, grade)| {
        let own = verdicts
            .iter()
            .filter(|verdict| verdict.word == word && verdict.grade.is_some());
        (word, grade, own.count())
    });
    let counted = told(what, counts);
    match verdicts.iter().any(|verdict| verdict.grade.is_some()) {
        true => counted,
        false => counted.plain(Overall::Unasked.word()),
    }
}

/// `CTs: 5 fail, 1 open`: those that there are.
fn told<'w>(what: &str, counts: impl IntoIterator<Item = (&'w str, Grade, usize)>) -> Text {
    let mut said = Text::from(what);
    let counted = counts.into_iter().filter(|(.., count)| *count > 0);
    for (index, (word, grade, count)) in counted.enumerate() {
        let between = if index == 0 { "" } else { ", " };
        let word = match (grade, count) {
            (Grade::Fails, 2..) => "fail",
            _ => word,
        };
        let word = format!("{count} {word}");
        said = said.plain(between).join(Text::word(grade, word));
    }
    said
}

fn sentence_case(text: &str) -> String {
    let mut rest = text.chars();
    rest.next()
        .map(|first| first.to_uppercase().chain(rest).collect())
        .unwrap_or_default()
}
