//! The sections of a record as a tree: the tests of a visit stand below it.

use crate::ground::span::Span;
use crate::job::Compiled;
use crate::record::schema::Argument;
use crate::record::sections;
use crate::syntax::Section;

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Outlined {
    /// `excitation 1S1-1S2`
    pub name: String,
    /// What the section is; empty where there is none of this name.
    pub doc: &'static str,
    pub whole: Span,
    /// Its opening line.
    pub open: Span,
    pub below: Vec<Self>,
}

/// All sections, in the order of the file.
pub fn outline(ct: &Compiled) -> Vec<Outlined> {
    let mut all: Vec<Outlined> = Vec::new();
    let mut in_visit = false;
    for section in &ct.record.written.tree.sections {
        let (argument, one) = outlined(ct, section);
        match (argument, all.last_mut().filter(|_| in_visit)) {
            (Some(Argument::Pair | Argument::OfVisit), Some(visit)) => {
                visit.whole = visit.whole.to(one.whole);
                visit.below.push(one);
            }
            _ => {
                in_visit = argument == Some(Argument::Visit);
                all.push(one);
            }
        }
    }
    all
}

fn outlined(ct: &Compiled, section: &Section) -> (Option<Argument>, Outlined) {
    let (source, tree) = (&ct.source, &ct.record.written.tree);
    let schema = sections::named(source.slice(section.name));
    let mut lines = tree.lines_of(section).iter();
    // Blank lines at its end are of nothing.
    let last = lines.rfind(|line| !line.body.is_empty());
    let whole = last.map_or(section.open, |last| section.open.to(last.body));
    let (name, argument) = (source.slice(section.name), source.slice(section.argument));
    let one = Outlined {
        // No editor shows a symbol without a name.
        name: match format!("{name} {argument}").trim() {
            "" => "[]".to_owned(),
            name => name.to_owned(),
        },
        doc: schema.map_or("", |schema| schema.doc),
        whole,
        open: section.open,
        below: Vec::new(),
    };
    (schema.map(|schema| schema.argument), one)
}
