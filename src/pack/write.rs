//! The files of a pack: a page per CT, the front, and, where it is asked for, the whole pack on one page.

use super::build::{Built, Planned};
use super::card::{Adds, Gathered};
use super::config::Config;
use super::cover::{Cover, NO_CLEARANCE};
use super::items::{self, Checked};
use super::matrix::Matrix;
use super::own_templates::{Use, used_for};
use super::plan::{Entry, Spot};
use super::sink::Sink;
use crate::chart;
use crate::compare::{Sister, are_sisters};
use crate::document::{
    self, Block, Links, Page, Pictures, TemplateFault, Templates, Text, Within, escape_html,
};
use crate::job::{Compiled, Kin, With};
use crate::record::place::Place;
use crate::report::{self, Options, Subject, Worked};
use std::io;

/// Name of the page that holds the whole pack.
pub const WHOLE: &str = "pack.html";

/// Where the body of the whole page goes in its shell.
const BODY: &str = "\u{e000}";

/// Templates that cannot be used, with the pages that say so instead of their content.
type Faults = Vec<(TemplateFault, Vec<String>)>;

/// What all pages are made with.
struct Pages<'a> {
    planned: &'a Planned<'a>,
    options: Options,
    whole: bool,
    sink: &'a dyn Sink,
}

/// One CT, written.
struct Made {
    adds: Adds,
    faults: Faults,
    /// Its report as the whole pack shows it.
    within: String,
}

/// A text with its page, or the plain ones that stand for it.
struct Part {
    title: String,
    markdown: String,
    html: String,
    /// The report of a CT as the whole pack shows it.
    within: String,
    fault: Option<TemplateFault>,
}

impl Part {
    /// In place of what a template of the client's could not make: it says so, and says no result.
    fn plain(title: &str, fault: TemplateFault) -> Self {
        let said = Text::strong("This page could not be made.").plain(format!(" {fault}"));
        let blocks = [Block::heading(1, title), Block::Paragraph(said)];
        let marked = document::print(&blocks, &mut Pictures::new());
        let article = |lower: usize| {
            let within = Within {
                lower,
                ..Within::default()
            };
            let body = document::html(&marked, &Pictures::new(), &within);
            format!("<article>{body}</article>\n")
        };
        Self {
            title: title.to_owned(),
            markdown: document::finish(&marked, ""),
            html: article(0),
            within: article(1),
            fault: Some(fault),
        }
    }
}

/// Compiles the records of a plan and writes everything.
///
/// # Errors
/// When a file cannot be written.
pub fn write(planned: &Planned<'_>, whole: bool, sink: &dyn Sink) -> io::Result<Built> {
    let pages = Pages {
        planned,
        options: options(&planned.config),
        whole,
        sink,
    };
    let mut faults = Faults::new();
    // A file that is no template changes no page, but its owner expects it to.
    let mut idle = planned.own.faults.clone();
    idle.retain(|fault| used_for(&fault.file) == Use::Nothing);
    faults.extend(idle.into_iter().map(|fault| (fault, Vec::new())));
    let mut all = Gathered::default();
    let mut failed = None;
    let order: Vec<usize> = planned.spots.iter().map(|spot| spot.index).collect();
    let mut spots = planned.spots.iter();
    let next = |made: io::Result<Made>| {
        let took = made.and_then(|made| {
            for (fault, files) in made.faults {
                files
                    .iter()
                    .for_each(|file| tell(&mut faults, Some(&fault), file));
            }
            all.add(made.adds);
            match spots.next() {
                Some(spot) if whole => sink.keep(&within(spot, &made.within)),
                _ => Ok(()),
            }
        });
        if let Err(error) = took {
            failed.get_or_insert(error);
        }
    };
    let places: std::collections::BTreeMap<usize, &Spot> = planned
        .spots
        .iter()
        .map(|spot| (spot.index, spot))
        .collect();
    let make = |index: usize, kin: &Kin<'_>| {
        let missing = || io::Error::other("a record was not compiled");
        let (spot, unit) = places.get(&index).zip(kin.get(index)).ok_or_else(missing)?;
        pages.ct(spot, unit, kin, &places)
    };
    planned.survey.each(&order, With::Kin, make, next);
    if let Some(error) = failed {
        return Err(error);
    }
    all.finish();
    let matrix = Matrix::of(std::mem::take(&mut all.blocks));
    let checked = items::check(&planned.config, &all.cards);
    let mut warnings: Vec<String> = checked.iter().filter_map(Checked::warning).collect();
    let cover = Cover {
        config: &planned.config,
        all: &all,
        matrix: &matrix,
        checked: &checked,
        logo: &planned.logo,
    };
    pages.covers(&cover, &mut faults, &mut warnings)?;
    Ok(Built::new(all.cards, matrix, all.told, faults, warnings))
}

/// The report of a CT on the page of the whole pack.
fn within(spot: &Spot, report: &str) -> String {
    let slug = &spot.slug;
    format!(
        "<div class=\"in-pack\" id=\"ct-{slug}\">\n{report}\
         <p class=\"back\"><a href=\"#top\">Back to the contents</a></p>\n</div>\n"
    )
}

/// A client's cover may have lost the sentences that the standard asks for.
fn unsaid(index: &str) -> impl Iterator<Item = String> {
    let asked = [items::ONLY_THESE, items::IN_FULL, NO_CLEARANCE];
    let lost = asked
        .into_iter()
        .filter(|sentence| !index.contains(sentence));
    lost.map(|sentence| format!("the cover does not say: {sentence}"))
}

fn tell(faults: &mut Faults, fault: Option<&TemplateFault>, file: &str) {
    let Some(fault) = fault else { return };
    match faults.iter_mut().find(|(known, _)| known == fault) {
        Some((_, files)) if files.iter().any(|known| known == file) => {}
        Some((_, files)) => files.push(file.to_owned()),
        None => faults.push((fault.clone(), vec![file.to_owned()])),
    }
}

impl Pages<'_> {
    /// Writes the page of a CT and its Markdown.
    fn ct(
        &self,
        spot: &Spot,
        unit: &Compiled,
        kin: &Kin<'_>,
        places: &std::collections::BTreeMap<usize, &Spot>,
    ) -> io::Result<Made> {
        let entry = Entry::new(spot, unit, &self.planned.config);
        let sisters = kin.others(spot.index).filter_map(|(index, other)| {
            let (own, place) = (unit.record.place()?, other.record.place()?);
            are_sisters(own, place).then(|| Sister {
                id: places.get(&index).map_or("", |spot| &spot.name).to_owned(),
                place: Place::text(place),
                record: &other.record,
                assessment: &other.assessment,
            })
        });
        let subject = self.subject(&entry, sisters.collect());
        let part = self.part(&entry, &subject);
        let mut faults = Faults::new();
        let name = format!("ct/{}", spot.slug);
        self.both(&name, &part, Kind::Ct, &mut faults)?;
        if self.whole {
            tell(&mut faults, part.fault.as_ref(), WHOLE);
        }
        Ok(Made {
            adds: Adds::of(&entry, subject.basis),
            faults,
            within: part.within,
        })
    }

    fn subject<'s>(&self, entry: &Entry<'s>, sisters: Vec<Sister<'s>>) -> Subject<'s> {
        let mut subject = Subject::of(entry.unit, sisters);
        let basis = self.planned.basis.parts.iter().cloned();
        subject.basis.parts.extend(basis);
        match entry.occasion.is_empty() {
            true => subject,
            false => Subject {
                visits: entry.occasion.clone(),
                ..subject
            },
        }
    }

    fn part(&self, entry: &Entry<'_>, subject: &Subject<'_>) -> Part {
        let options = Options {
            slug: Some(entry.spot.slug.clone()),
            ..self.options.clone()
        };
        let brief = Options {
            workings: match self.planned.config.all_workings {
                true => Worked::Headline,
                false => Worked::ToLookAt,
            },
            // The cover has one annex for all.
            annex: false,
            lower: 1,
            ..options.clone()
        };
        let own = &self.planned.own;
        let write = |options: &Options| report::ct(subject, options, own.usable(Use::Ct)?);
        let whole = || match self.whole {
            true => Ok(write(&brief)?.html),
            false => Ok(String::new()),
        };
        match write(&options).and_then(|made| Ok((made, whole()?))) {
            Ok((made, within)) => Part {
                title: made.title,
                markdown: made.markdown,
                html: made.html,
                within,
                fault: None,
            },
            Err(fault) => Part::plain(&format!("Current transformer {}", entry.spot.name), fault),
        }
    }

    /// A page and its Markdown.
    fn both(&self, name: &str, part: &Part, kind: Kind, faults: &mut Faults) -> io::Result<()> {
        let (html, md) = (format!("{name}.html"), format!("{name}.md"));
        tell(faults, part.fault.as_ref(), &html);
        tell(faults, part.fault.as_ref(), &md);
        let page = self.page(&html, &part.title, &part.html, kind, faults);
        self.sink.put(&html, page.as_bytes())?;
        self.sink.put(&md, part.markdown.as_bytes())
    }

    fn covers(
        &self,
        cover: &Cover<'_>,
        faults: &mut Faults,
        warnings: &mut Vec<String>,
    ) -> io::Result<()> {
        let index = self.front(cover, false);
        if index.fault.is_none() {
            warnings.extend(unsaid(&index.html));
        }
        self.both("index", &index, Kind::Front, faults)?;
        if !self.whole {
            return Ok(());
        }
        let whole = self.front(cover, true);
        tell(faults, whole.fault.as_ref(), WHOLE);
        let end = format!("{} {}", items::END, cover.config.file.report.number);
        let end = escape_html(end.trim_end());
        let end = format!("<p class=\"end pack-end\">{end}</p>\n");
        let page = self.page(WHOLE, &whole.title, BODY, Kind::Front, faults);
        let (before, behind) = page.split_once(BODY).unwrap_or((&page, ""));
        let before = format!("{before}{}", whole.html);
        self.sink
            .put_kept(WHOLE, &before, &format!("{end}{behind}"))
    }

    /// Wraps a body into a page; a cover brings rules of its own.
    fn page(&self, file: &str, title: &str, body: &str, kind: Kind, faults: &mut Faults) -> String {
        let options = &self.options;
        let made = |templates: &Templates, body: &str| {
            if kind == Kind::Ct {
                return report::page(title, body, options, templates);
            }
            let [left, right] = options.running();
            // Print: the matrix is wider than high.
            let paper = options.paper.css();
            let matrix = format!("@page matrix{{size:{paper} landscape}}\n");
            let page = Page {
                title,
                body,
                styles: &["style.css", "pack.css"],
                rules: &format!("{matrix}{}", chart::STYLE),
                paper: options.paper,
                head: [&left, &right],
                foot: title,
            };
            page.html(templates)
        };
        let own = self.planned.own.usable(Use::Page);
        let page = own.and_then(|own| made(own, body)).or_else(|fault| {
            tell(faults, Some(&fault), file);
            made(&Templates::built_in(), &Part::plain(title, fault).html)
        });
        page.unwrap_or_else(|fault| escape_html(&fault.to_string()))
    }

    /// The front of the pack; `whole` where the reports follow on the same page.
    fn front(&self, cover: &Cover<'_>, whole: bool) -> Part {
        let title = match cover.config.file.report.title.as_str() {
            "" => "Test report: current transformers",
            title => title,
        };
        let mut pictures = Pictures::new();
        let filling = cover.parts(whole, &mut pictures);
        let own = self.planned.own.usable(Use::Cover);
        let marked = match own.and_then(|own| own.fill("pack.md", &filling)) {
            Ok(marked) => marked,
            Err(fault) => return Part::plain(title, fault),
        };
        let within = Within {
            links: if whole { Links::Within } else { Links::Pages },
            ..Within::default()
        };
        let body = document::html(&marked, &pictures, &within);
        let basis = &cover.all.basis;
        Part {
            title: title.to_owned(),
            markdown: document::finish(&marked, &basis.comment()),
            html: format!(
                "<article {} class=\"pack\" id=\"top\">\n{body}</article>\n",
                basis.attribute()
            ),
            within: String::new(),
            fault: None,
        }
    }
}

/// What a page is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Front,
    Ct,
}

fn options(config: &Config) -> Options {
    let stated = |text: &str| (!text.is_empty()).then(|| text.to_owned());
    let file = &config.file;
    Options {
        decimal_comma: config.decimal_comma,
        paper: config.paper,
        report_number: stated(&file.report.number),
        revision: stated(&file.report.revision),
        issued: config.issued.map(|day| day.value.to_string()),
        client: stated(&file.client.name),
        contractor: stated(&file.contractor.name),
        job: stated(&file.job.name),
        ..Options::default()
    }
}
