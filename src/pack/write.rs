//! The files of a pack, written into memory: a page per CT, the cover, and the whole pack on one page.

use super::config::Config;
use super::cover::{Cover, NO_CLEARANCE};
use super::items::{self, Checked};
use super::own_templates::{Own, Use, used_for};
use super::plan::Entry;
use crate::chart;
use crate::compare::{Sister, is_sister};
use crate::document::{
    self, Block, Links, Page, Pictures, TemplateFault, Templates, Text, Within, escape_html,
};
use crate::job::Basis;
use crate::record::place::Place;
use crate::report::{self, Options, Subject, Worked};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Name of the page that holds the whole pack.
pub const WHOLE: &str = "pack.html";

/// What is written, with what went wrong on the way.
#[derive(Debug, Default)]
pub struct Writer {
    pub files: BTreeMap<String, Vec<u8>>,
    /// Templates that cannot be used, with the pages that say so instead of their content.
    pub faults: Vec<(TemplateFault, Vec<String>)>,
    pub warnings: Vec<String>,
}

/// Everything that goes into the files.
struct Pack<'a> {
    cover: Cover<'a>,
    /// What all pages stand on beside the records.
    basis: &'a Basis,
    options: Options,
    own: &'a Own,
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

impl Writer {
    /// Writes everything.
    pub fn write(config: &Config, entries: &[Entry], own: &Own, logo: &str, basis: &Basis) -> Self {
        let mut writer = Self::default();
        let checked = items::check(config, entries);
        let bases: Vec<Basis> = entries
            .iter()
            .map(|entry| subject(entry, entries, basis).basis)
            .collect();
        let pack = Pack {
            cover: Cover {
                config,
                entries,
                checked: &checked,
                logo,
                basis: Basis::joined(&bases),
            },
            basis,
            options: options(config),
            own,
        };
        // A file that is no template changes no page, but its owner expects it to.
        let mut idle = own.faults.clone();
        idle.retain(|fault| used_for(&fault.file) == Use::Nothing);
        writer
            .faults
            .extend(idle.into_iter().map(|fault| (fault, Vec::new())));
        // Ordered collection: the threads decide nothing about the bytes.
        let parts: Vec<Part> = entries.par_iter().map(|entry| part(entry, &pack)).collect();
        for (entry, part) in entries.iter().zip(&parts) {
            writer.both(&format!("ct/{}", entry.slug), part, false, &pack);
        }
        let warnings = checked.iter().filter_map(Checked::warning);
        writer.warnings.extend(warnings);
        writer.covers(&pack, &parts);
        writer
    }

    /// A page and its Markdown.
    fn both(&mut self, name: &str, part: &Part, cover: bool, pack: &Pack<'_>) {
        let (html, md) = (format!("{name}.html"), format!("{name}.md"));
        self.tell(part.fault.as_ref(), &html);
        self.tell(part.fault.as_ref(), &md);
        self.page(&html, &part.title, &part.html, cover, pack);
        self.files.insert(md, part.markdown.clone().into_bytes());
    }

    fn covers(&mut self, pack: &Pack<'_>, parts: &[Part]) {
        let index = front(pack, false);
        if index.fault.is_none() {
            self.sentences(&index.html);
        }
        self.both("index", &index, true, pack);
        let mut whole = front(pack, true);
        self.tell(whole.fault.as_ref(), WHOLE);
        for (entry, part) in pack.cover.entries.iter().zip(parts) {
            let (slug, report) = (&entry.slug, &part.within);
            whole.html.push_str(&format!(
                "<div class=\"in-pack\" id=\"ct-{slug}\">\n{report}\
                 <p class=\"back\"><a href=\"#top\">Back to the contents</a></p>\n</div>\n"
            ));
            self.tell(part.fault.as_ref(), WHOLE);
        }
        let end = format!("{} {}", items::END, pack.cover.config.file.report.number);
        let end = escape_html(end.trim_end());
        let end = format!("<p class=\"end pack-end\">{end}</p>\n");
        self.page(WHOLE, &whole.title, &(whole.html + &end), true, pack);
    }

    /// A client's cover may have lost the sentences that the standard asks for.
    fn sentences(&mut self, index: &str) {
        for sentence in [items::ONLY_THESE, items::IN_FULL, NO_CLEARANCE] {
            if !index.contains(sentence) {
                self.warnings
                    .push(format!("the cover does not say: {sentence}"));
            }
        }
    }

    /// Wraps a body into a page; a cover brings rules of its own.
    fn page(&mut self, file: &str, title: &str, body: &str, cover: bool, pack: &Pack<'_>) {
        let options = &pack.options;
        let made = |templates: &Templates, body: &str| {
            if !cover {
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
        let own = pack.own.usable(Use::Page);
        let page = own.and_then(|own| made(own, body)).or_else(|fault| {
            self.tell(Some(&fault), file);
            made(&Templates::built_in(), &Part::plain(title, fault).html)
        });
        let page = page.unwrap_or_else(|fault| escape_html(&fault.to_string()));
        self.files.insert(file.to_owned(), page.into_bytes());
    }

    fn tell(&mut self, fault: Option<&TemplateFault>, file: &str) {
        let Some(fault) = fault else { return };
        match self.faults.iter_mut().find(|(known, _)| known == fault) {
            Some((_, files)) if files.iter().any(|known| known == file) => {}
            Some((_, files)) => files.push(file.to_owned()),
            None => self.faults.push((fault.clone(), vec![file.to_owned()])),
        }
    }
}

/// The front of the pack; `whole` where the reports follow on the same page.
fn front(pack: &Pack<'_>, whole: bool) -> Part {
    let title = match pack.cover.config.file.report.title.as_str() {
        "" => "Test report: current transformers",
        title => title,
    };
    let mut pictures = Pictures::new();
    let filling = pack.cover.parts(whole, &mut pictures);
    let own = pack.own.usable(Use::Cover);
    let marked = match own.and_then(|own| own.fill("pack.md", &filling)) {
        Ok(marked) => marked,
        Err(fault) => return Part::plain(title, fault),
    };
    let within = Within {
        links: if whole { Links::Within } else { Links::Pages },
        ..Within::default()
    };
    let body = document::html(&marked, &pictures, &within);
    Part {
        title: title.to_owned(),
        markdown: document::finish(&marked, &pack.cover.basis.comment()),
        html: format!(
            "<article {} class=\"pack\" id=\"top\">\n{body}</article>\n",
            pack.cover.basis.attribute()
        ),
        within: String::new(),
        fault: None,
    }
}

fn part(entry: &Entry, pack: &Pack<'_>) -> Part {
    let subject = subject(entry, pack.cover.entries, pack.basis);
    let options = Options {
        slug: Some(entry.slug.clone()),
        ..pack.options.clone()
    };
    let brief = Options {
        workings: match pack.cover.config.all_workings {
            true => Worked::Headline,
            false => Worked::ToLookAt,
        },
        // The cover has one annex for all.
        annex: false,
        lower: 1,
        ..options.clone()
    };
    let write = |options: &Options| report::ct(&subject, options, pack.own.usable(Use::Ct)?);
    match write(&options).and_then(|made| Ok((made, write(&brief)?.html))) {
        Ok((made, within)) => Part {
            title: made.title,
            markdown: made.markdown,
            html: made.html,
            within,
            fault: None,
        },
        Err(fault) => Part::plain(&format!("Current transformer {}", entry.name), fault),
    }
}

fn subject<'a>(entry: &'a Entry, entries: &'a [Entry], basis: &Basis) -> Subject<'a> {
    let sister = |other: &&Entry| {
        !std::ptr::eq(*other, entry) && is_sister(&entry.unit.record, &other.unit.record)
    };
    let sisters = entries.iter().filter(sister).map(|other| Sister {
        id: other.name.clone(),
        place: other.record().place().map(Place::text).unwrap_or_default(),
        record: &other.unit.record,
        assessment: &other.unit.assessment,
    });
    let mut subject = Subject::of(&entry.unit, sisters.collect());
    subject.basis.parts.extend(basis.parts.iter().cloned());
    match entry.occasion.is_empty() {
        true => subject,
        false => Subject {
            visits: entry.occasion.clone(),
            ..subject
        },
    }
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
