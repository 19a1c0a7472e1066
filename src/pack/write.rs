//! The files of a pack: a page per CT, the front, and, where it is asked for, the whole pack on one page.

use super::again::Again;
use super::bay;
use super::build::{Built, Planned};
use super::card::{Adds, Ct, Gathered};
use super::config::Config;
use super::cover::{self, Cover};
use super::items::{self, Checked};
use super::matrix::Matrix;
use super::own_templates::{Use, used_for};
use super::plan::{Bay, Entry, Spot};
use super::punch;
use super::sink::{Placed, Sink};
use crate::chart;
use crate::compare::{Sister, sister};
use crate::document::{
    self, Block, Links, NumberStyle, Page, Pictures, TemplateFault, Templates, Text, Within,
    escape_html, joined, page_id,
};
use crate::job::{Basis, Carried, Kin};
use crate::report::{self, Options};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::sync::Arc;

/// Name of the page that holds the whole pack.
pub const WHOLE: &str = "pack.html";

/// Name of the front, without its ending.
const FRONT: &str = "index";

/// Templates that cannot be used, with the pages that say so instead of their content.
type Faults = Vec<(TemplateFault, Vec<String>)>;

/// What all pages are made with.
struct Pages<'a> {
    planned: &'a Planned<'a>,
    /// Places in the pack by the record's place in the survey.
    at: BTreeMap<usize, usize>,
    options: Options,
    whole: bool,
    sink: &'a dyn Sink,
}

/// The pages of one CT, written.
#[derive(Default)]
struct Made {
    faults: Faults,
    pages: Vec<Placed>,
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
        at: planned
            .plan
            .spots
            .iter()
            .enumerate()
            .map(|(at, spot)| (spot.index, at))
            .collect(),
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
    let order: Vec<usize> = planned.plan.spots.iter().map(|spot| spot.index).collect();
    let next = |made: io::Result<(Made, Adds)>| {
        let took = made.and_then(|(made, adds)| {
            for (fault, files) in made.faults {
                files
                    .iter()
                    .for_each(|file| tell(&mut faults, Some(&fault), file));
            }
            all.add(adds);
            match whole {
                true => sink.keep(&made.within),
                false => Ok(()),
            }
        });
        if let Err(error) = took {
            failed.get_or_insert(error);
        }
    };
    // The page of the whole pack wants each page in another form.
    let again = match whole {
        true => None,
        false => Again::of(planned, sink),
    };
    let made_before = |now: &[usize]| {
        let adds = again
            .as_ref()?
            .take(now, &pages.at, |index| pages.names(index))?;
        let made = adds.into_iter().map(|adds| Ok((Made::default(), adds)));
        Some(made.collect())
    };
    let make = |now: &[usize], kin: &Kin<'_>| {
        let made = pages.of(now, kin);
        if let Some(again) = &again {
            let sound = made.iter().map(|made| match made {
                Ok((made, adds)) => made
                    .faults
                    .is_empty()
                    .then_some((made.pages.as_slice(), adds)),
                Err(_) => None,
            });
            let sound: Option<Vec<_>> = sound.collect();
            sound
                .into_iter()
                .for_each(|sound| again.put(now, &pages.at, &sound));
        }
        made
    };
    planned.survey.some(&order, made_before, make, next);
    if let Some(error) = failed {
        return Err(error);
    }
    for (name, one) in planned.attached() {
        if all.attached.contains(&name) {
            sink.put(&name, &planned.survey.read(one)?)?;
        }
    }
    all.finish();
    let matrix = Matrix::of(std::mem::take(&mut all.blocks));
    let checked = items::check(&planned.config, &all.cards);
    let warnings: Vec<String> = checked.iter().filter_map(Checked::warning).collect();
    let lost = planned.lost();
    let cover = Cover {
        config: &planned.config,
        all: &all,
        matrix: &matrix,
        bays: &planned.plan.bays,
        checked: &checked,
        lost: &lost,
        logo: &planned.logo,
    };
    pages.punch(&all, &mut faults)?;
    pages.covers(&cover, &mut faults)?;
    Ok(Built::new(all.cards, matrix, all.told, faults, warnings))
}

/// The two files of a page.
pub(super) fn both(name: &str) -> [String; 2] {
    [format!("{name}.html"), format!("{name}.md")]
}

fn missing() -> io::Error {
    io::Error::other("a record was not compiled")
}

/// A page on the page of the whole pack.
fn within(path: &str, ways: &str, article: &str) -> String {
    let id = page_id(path);
    format!("<div class=\"in-pack\" id=\"{id}\">\n{ways}{article}</div>\n")
}

/// The ways from a page, as they stand above it. On the page of the whole pack there are many, so that each is
/// called by its page for those who hear it.
fn nav(title: &str, ways: &str, links: Links) -> String {
    let within = Within {
        links,
        ..Within::default()
    };
    let shown = document::html(ways, &Pictures::new(), &within);
    let mut name = String::new();
    crate::ground::calm::put_html(title, &mut name);
    format!("<nav class=\"ways\" aria-label=\"From {name}\">{shown}</nav>\n")
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
    /// Writes the pages of some CTs, and those of the bays that they are the first of; the CTs of a bay share
    /// what is said of them.
    fn of(&self, now: &[usize], kin: &Kin<'_>) -> Vec<io::Result<(Made, Adds)>> {
        let wanted: BTreeSet<usize> = now.iter().flat_map(|index| self.beside(*index)).collect();
        let cts = wanted.into_par_iter().filter_map(|index| {
            let entry = self.entry(self.spot(index)?, kin)?;
            Some((index, Ct::new(entry)))
        });
        let mut cts: BTreeMap<usize, Ct<'_>> = cts.collect();
        let made = now.par_iter().map(|index| self.made(*index, &cts));
        let made: Vec<io::Result<Made>> = made.collect();
        let own = now.iter().map(|index| cts.remove(index));
        let made: Vec<_> = made.into_iter().zip(own).collect();
        let adds = made.into_par_iter().map(|(made, ct)| {
            let adds = ct.map(Adds::of).ok_or_else(missing);
            Ok((made?, adds?))
        });
        adds.collect()
    }

    /// What the pages of a CT are made of: itself, and of a bay's first one the whole bay.
    fn beside(&self, index: usize) -> impl Iterator<Item = usize> {
        let spot = self.spot(index);
        let bay = spot.and_then(|spot| self.begun_by(spot));
        let members = bay.into_iter().flat_map(|bay| self.members(bay));
        std::iter::once(index).chain(members.map(|spot| spot.index))
    }

    /// Writes the page of a CT, and before that of a bay's first one the page of the bay.
    fn made(&self, index: usize, cts: &BTreeMap<usize, Ct<'_>>) -> io::Result<Made> {
        let entry = &cts.get(&index).ok_or_else(missing)?.entry;
        let spot = entry.spot;
        let mut made = Made::default();
        let bay = self.bay_of(spot);
        if let Some(bay) = self.begun_by(spot) {
            let members = self.members(bay);
            let members = members.filter_map(|spot| cts.get(&spot.index));
            let part = self.bay(bay, &members.collect::<Vec<_>>());
            let first = bay.members.first().copied();
            let before = first.and_then(|first| first.checked_sub(1));
            let ways = self.ways(None, before, first);
            self.below(&bay.path(), part, &ways, &mut made)?;
        }
        let part = self.part(entry);
        let at = self.at.get(&index).copied();
        let before = at.and_then(|at| at.checked_sub(1));
        let ways = self.ways(bay, before, at.map(|at| at + 1));
        self.below(&spot.path(), part, &ways, &mut made)?;
        Ok(made)
    }

    /// The files of a CT, and before those of a bay's first one the files of the bay.
    fn names(&self, index: usize) -> Vec<String> {
        let spot = self.spot(index);
        let bay = spot.and_then(|spot| self.begun_by(spot));
        let paths = bay
            .map(Bay::path)
            .into_iter()
            .chain(spot.map(|spot| spot.path()));
        paths.flat_map(|path| both(&path)).collect()
    }

    /// Where a record of the survey stands in the pack.
    fn spot(&self, index: usize) -> Option<&Arc<Spot>> {
        self.planned.plan.spots.get(*self.at.get(&index)?)
    }

    /// A CT with its sisters beside it.
    fn entry<'s>(&'s self, spot: &'s Arc<Spot>, kin: &Kin<'s>) -> Option<Entry<'s>> {
        let ct = kin.get(spot.index)?;
        let sisters = kin.others(spot.index).filter_map(|(index, other)| {
            let sister = sister(&ct.record, &other.record, &other.assessment)?;
            // In a pack every CT goes by the name that it has there.
            let id = self.spot(index).map_or("", |spot| &spot.name).to_owned();
            Some(Sister { id, ..sister })
        });
        Some(Entry::new(spot, ct, sisters.collect(), self.planned))
    }

    fn bay_of(&self, spot: &Spot) -> Option<&Bay> {
        self.planned.plan.bays.get(spot.bay?)
    }

    fn members<'s>(&'s self, bay: &'s Bay) -> impl Iterator<Item = &'s Arc<Spot>> {
        let spots = &self.planned.plan.spots;
        bay.members.iter().filter_map(|at| spots.get(*at))
    }

    /// The bay that a CT is the first of: its page is made with that of the CT.
    fn begun_by(&self, spot: &Spot) -> Option<&Bay> {
        let bay = self.bay_of(spot)?;
        let first = self.members(bay).next()?;
        (first.index == spot.index).then_some(bay)
    }

    /// The page of a bay.
    fn bay(&self, bay: &Bay, cts: &[&Ct<'_>]) -> Part {
        let mut pictures = Pictures::new();
        let pen = NumberStyle {
            comma: self.options.decimal_comma,
        };
        let prefix = format!("bay--{}--", bay.slug);
        let filling = bay::parts(bay, cts, pen, &prefix, &mut pictures);
        let own = self.planned.own.usable(Use::Bay);
        let marked = match own.and_then(|own| own.fill("bay.md", &filling)) {
            Ok(marked) => marked,
            Err(fault) => return Part::plain(&bay.name, fault),
        };
        let basis = cts.iter().map(|ct| ct.entry.subject.basis());
        let basis = Basis::joined(basis).carried();
        let article = |lower: usize, links: Links| {
            let within = Within {
                prefix: prefix.clone(),
                lower,
                links,
            };
            let body = document::html(&marked, &pictures, &within);
            format!(
                "<article {} class=\"bay\">\n{body}</article>\n",
                basis.attribute()
            )
        };
        Part {
            title: bay.name.clone(),
            markdown: document::finish(&marked, &basis.comment()),
            html: article(0, Links::Pages),
            within: match self.whole {
                true => article(1, Links::Within),
                false => String::new(),
            },
            fault: None,
        }
    }

    fn part(&self, entry: &Entry<'_>) -> Part {
        let options = Options {
            slug: Some(entry.spot.slug.clone()),
            lowered: self.whole,
            files: report::Files::Above,
            ..self.options.clone()
        };
        let own = self.planned.own.usable(Use::Ct);
        match own.and_then(|own| report::ct(&entry.subject, &options, own)) {
            Ok(made) => Part {
                title: made.title,
                markdown: made.markdown,
                html: made.html,
                within: made.lowered,
                fault: None,
            },
            Err(fault) => Part::plain(&format!("Current transformer {}", entry.spot.name), fault),
        }
    }

    /// The ways from a page below the front: back, to its bay, to the CTs before and behind it.
    fn ways(&self, bay: Option<&Bay>, before: Option<usize>, next: Option<usize>) -> String {
        let spots = &self.planned.plan.spots;
        let beside = |at: Option<usize>, way: &str| {
            let spot = spots.get(at?)?;
            let name = joined(
                [
                    Some(spot.group.clone()).filter(|name| !name.is_empty()),
                    Some(spot.short().to_owned()),
                ],
                ", ",
            );
            Some(cover::page(
                &format!("../{}", spot.path()),
                format!("{way}: {name}"),
            ))
        };
        let bay = bay.map(|bay| cover::page(&format!("../{}", bay.path()), bay.name.as_str()));
        let ways = [
            Some(cover::page("../index", "Contents")),
            bay,
            beside(before, "Before"),
            beside(next, "Next"),
        ];
        let mut ways = ways.into_iter().flatten();
        let first = ways.next().unwrap_or_default();
        let line = ways.fold(first, |line, way| line.plain(" · ").join(way));
        document::print(&[Block::Paragraph(line)], &mut Pictures::new())
    }

    /// Writes a page below the front and its Markdown, with the ways from it above. Notes its form on the
    /// page of the whole pack, where there is one; what is wrong with it is told of both.
    fn below(&self, name: &str, part: Part, ways: &str, made: &mut Made) -> io::Result<()> {
        let faults = &mut made.faults;
        let [html, md] = both(name);
        for file in [&html, &md] {
            tell(faults, part.fault.as_ref(), file);
        }
        let above = nav(&part.title, ways, Links::Pages);
        let page = self.framed(&html, &part.title, (&above, part.html), Kind::Below, faults);
        let of_html = self.sink.put(&html, page.as_bytes())?;
        let plain = [&document::plain(ways), "\n", &part.markdown].concat();
        let of_md = self.sink.put(&md, plain.as_bytes())?;
        if self.whole {
            tell(faults, part.fault.as_ref(), WHOLE);
            let ways = nav(&part.title, ways, Links::Within);
            made.within.push_str(&within(name, &ways, &part.within));
        }
        made.pages.extend([(html, of_html), (md, of_md)]);
        Ok(())
    }

    /// The page of all points, where a record has one; behind the CTs on the page of the whole pack.
    fn punch(&self, all: &Gathered, faults: &mut Faults) -> io::Result<()> {
        if punch::is_empty(&all.cards) {
            return Ok(());
        }
        let mut pictures = Pictures::new();
        let marked = document::print(&punch::blocks(&all.cards), &mut pictures);
        let basis = all.basis.carried();
        let article = |lower: usize, links: Links| {
            let within = Within {
                prefix: format!("{}--", punch::NAME),
                lower,
                links,
            };
            let body = document::html(&marked, &pictures, &within);
            let basis = basis.attribute();
            format!("<article {basis} class=\"punch\">\n{body}</article>\n")
        };
        let part = Part {
            title: punch::TITLE.to_owned(),
            markdown: document::finish(&marked, &basis.comment()),
            html: article(0, Links::Pages),
            within: match self.whole {
                true => article(1, Links::Within),
                false => String::new(),
            },
            fault: None,
        };
        let way = Block::Paragraph(cover::page(FRONT, "Contents"));
        let ways = document::print(&[way], &mut Pictures::new());
        let mut made = Made::default();
        self.below(punch::NAME, part, &ways, &mut made)?;
        for (fault, files) in made.faults {
            files
                .iter()
                .for_each(|file| tell(faults, Some(&fault), file));
        }
        match self.whole {
            true => self.sink.keep(&made.within),
            false => Ok(()),
        }
    }

    /// The front on a page of its own, and before that the whole pack where it is asked for. A front grows
    /// with the pack: of its forms only one is held at a time.
    fn covers(&self, cover: &Cover<'_>, faults: &mut Faults) -> io::Result<()> {
        if self.whole {
            self.cover_of_all(cover, faults)?;
        }
        let [file, text] = ["html", "md"].map(|kind| format!("{FRONT}.{kind}"));
        let basis = cover.all.basis.carried();
        let (title, html) = match self.front(cover, false) {
            Ok(front) => {
                let plain = document::finish(&front.marked, &basis.comment());
                self.sink.put(&text, plain.as_bytes())?;
                drop(plain);
                let title = front.title.to_owned();
                let html = front.html(&basis);
                (title, html)
            }
            Err(plain) => {
                for name in [&file, &text] {
                    tell(faults, plain.fault.as_ref(), name);
                }
                self.sink.put(&text, plain.markdown.as_bytes())?;
                (plain.title, plain.html)
            }
        };
        let page = self.framed(&file, &title, ("", html), Kind::Front, faults);
        self.sink.put(&file, page.as_bytes())?;
        Ok(())
    }

    /// A body in its page, with something above it.
    fn framed(
        &self,
        file: &str,
        title: &str,
        (above, mut body): (&str, String),
        kind: Kind,
        faults: &mut Faults,
    ) -> String {
        match self.shell(file, title, kind, faults) {
            Ok((before, behind)) => {
                // It is by far the longest part.
                body.insert_str(0, &[&before, above].concat());
                body.push_str(&behind);
                body
            }
            Err(plain) => plain,
        }
    }

    /// What stands before and behind the body of a page; a cover brings rules of its own. Where a shell of the
    /// client's cannot be used, the page that stands for it.
    fn shell(
        &self,
        file: &str,
        title: &str,
        kind: Kind,
        faults: &mut Faults,
    ) -> Result<(String, String), String> {
        let options = &self.options;
        let around = |templates: &Templates| {
            if kind == Kind::Below {
                return report::around(title, options, templates);
            }
            let [left, right] = options.running();
            // Print: the matrix is wider than high.
            let paper = options.paper.css();
            let matrix = format!("@page matrix{{size:{paper} landscape}}\n");
            let page = Page {
                title,
                styles: &["style.css", "pack.css"],
                rules: &format!("{matrix}{}", chart::STYLE),
                paper: options.paper,
                head: [&left, &right],
                foot: title,
            };
            page.around(templates)
        };
        let own = self.planned.own.usable(Use::Page);
        own.and_then(around).map_err(|fault| {
            tell(faults, Some(&fault), file);
            let plain = Part::plain(title, fault).html;
            match around(&Templates::built_in()) {
                Ok((before, behind)) => [before, plain, behind].concat(),
                Err(fault) => escape_html(&fault.to_string()),
            }
        })
    }

    /// The page of the whole pack: its front, and behind it the pages that were kept.
    fn cover_of_all(&self, cover: &Cover<'_>, faults: &mut Faults) -> io::Result<()> {
        let (title, html) = match self.front(cover, true) {
            Ok(front) => (
                front.title.to_owned(),
                front.html(&cover.all.basis.carried()),
            ),
            Err(plain) => {
                tell(faults, plain.fault.as_ref(), WHOLE);
                (plain.title, plain.html)
            }
        };
        let end = format!("{} {}", items::END, cover.config.file.report.number);
        let end = escape_html(end.trim_end());
        let end = format!("<p class=\"end pack-end\">{end}</p>\n");
        let (before, behind) = match self.shell(WHOLE, &title, Kind::Front, faults) {
            Ok(around) => around,
            Err(plain) => {
                self.sink.put(WHOLE, plain.as_bytes())?;
                return Ok(());
            }
        };
        let before = [before, html].concat();
        self.sink
            .put_kept(WHOLE, &before, &format!("{end}{behind}"))
    }

    /// The front of the pack; `whole` where the reports follow on the same page. Where a template of the
    /// client's cannot be used, what stands for it.
    fn front<'c>(&self, cover: &Cover<'c>, whole: bool) -> Result<Front<'c>, Box<Part>> {
        let title = match cover.config.file.report.title.as_str() {
            "" => "Test report: current transformers",
            title => title,
        };
        let mut pictures = Pictures::new();
        let filling = cover.parts(whole, &mut pictures);
        let own = self.planned.own.usable(Use::Cover);
        let marked = own.and_then(|own| own.fill("pack.md", &filling));
        Ok(Front {
            title,
            marked: marked.map_err(|fault| Box::new(Part::plain(title, fault)))?,
            pictures,
            links: if whole { Links::Within } else { Links::Pages },
        })
    }
}

/// The front of a pack.
struct Front<'a> {
    title: &'a str,
    marked: String,
    pictures: Pictures,
    links: Links,
}

impl Front<'_> {
    /// Its article.
    fn html(self, basis: &Carried) -> String {
        let within = Within {
            links: self.links,
            ..Within::default()
        };
        let mut body = document::html(&self.marked, &self.pictures, &within);
        drop(self);
        let basis = basis.attribute();
        let id = page_id(FRONT);
        body.insert_str(
            0,
            &format!("<article {basis} class=\"pack\" id=\"{id}\">\n"),
        );
        body.push_str("</article>\n");
        body
    }
}

/// What a page is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Front,
    /// Of a CT or a bay.
    Below,
}

fn options(config: &Config) -> Options {
    let stated = |text: &str| (!text.is_empty()).then(|| text.to_owned());
    let file = &config.file;
    Options {
        decimal_comma: config.decimal_comma,
        paper: config.paper,
        report_number: stated(&file.report.number),
        revision: stated(&file.report.revision),
        issued: config.issued.map(|day| day.value),
        client: stated(&file.client.name),
        contractor: stated(&file.contractor.name),
        job: stated(&file.job.name),
        annexes: file.annex,
        // The cover says it for all.
        rule: false,
        ..Options::default()
    }
}
