//! The files of a pack, written into memory: a page per CT, the cover, and the whole pack on one page.

use super::config::Config;
use super::cover::{Cover, NO_CLEARANCE};
use super::fallback::Plain;
use super::items::{self, Checked};
use super::own_templates::{Own, Use, used_for};
use super::plan::Entry;
use crate::chart;
use crate::compare::is_sister;
use crate::document::{self, Links, Page, Pictures, TemplateFault, Templates, Within, escape_html};
use crate::report::{self, Options, Sister, Subject, Worked};
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
    options: Options,
    own: &'a Own,
}

/// The report of one CT, or the plain one that stands for it.
struct Part {
    title: String,
    markdown: String,
    html: String,
    /// As the whole pack shows it.
    within: String,
    fault: Option<TemplateFault>,
}

impl Writer {
    /// Writes everything.
    pub fn write(config: &Config, entries: &[Entry], own: &Own, logo: &str) -> Self {
        let mut writer = Self::default();
        let checked = items::check(config, entries);
        let pack = Pack {
            cover: Cover {
                config,
                entries,
                checked: &checked,
                logo,
            },
            options: options(config),
            own,
        };
        // A file that is no template changes no page, but its owner expects it to.
        let idle = own
            .faults
            .iter()
            .filter(|fault| used_for(&fault.file) == Use::Nothing);
        writer
            .faults
            .extend(idle.map(|fault| (fault.clone(), Vec::new())));
        // Ordered collection: the threads decide nothing about the bytes.
        let parts: Vec<Part> = entries.par_iter().map(|entry| part(entry, &pack)).collect();
        for (entry, part) in entries.iter().zip(&parts) {
            writer.ct(entry, part, &pack);
        }
        let warnings = checked.iter().filter_map(Checked::warning);
        writer.warnings.extend(warnings);
        writer.covers(&pack, &parts);
        writer
    }

    fn ct(&mut self, entry: &Entry, part: &Part, pack: &Pack<'_>) {
        let (html, md) = (
            format!("ct/{}.html", entry.slug),
            format!("ct/{}.md", entry.slug),
        );
        if let Some(fault) = &part.fault {
            self.tell(fault, &html);
            self.tell(fault, &md);
        }
        self.page(&html, &part.title, &part.html, false, pack);
        self.files.insert(md, part.markdown.clone().into_bytes());
    }

    fn covers(&mut self, pack: &Pack<'_>, parts: &[Part]) {
        let cover = &pack.cover;
        let title = match cover.config.title.as_str() {
            "" => "Test report: current transformers",
            title => title,
        };
        let made = |whole: bool, within: &Within| match pack.own.fault(Use::Cover) {
            Some(fault) => Err(fault.clone()),
            None => front(cover, whole, within, &pack.own.templates),
        };
        match made(false, &Within::default()) {
            Ok((marked, article)) => {
                self.sentences(&article);
                let markdown = document::finish(&marked, "");
                self.files
                    .insert("index.md".to_owned(), markdown.into_bytes());
                self.page("index.html", title, &article, true, pack);
            }
            Err(fault) => self.plain("index", title, &fault, pack),
        }
        let links = Links::Within;
        let within = Within {
            links,
            ..Within::default()
        };
        let mut whole = match made(true, &within) {
            Ok((_, article)) => article,
            Err(fault) => {
                self.tell(&fault, WHOLE);
                Plain::new(title, &fault).article(0)
            }
        };
        for (entry, part) in cover.entries.iter().zip(parts) {
            whole.push_str(&format!(
                "<div class=\"in-pack\" id=\"ct-{}\">\n{}",
                entry.slug, part.within
            ));
            whole.push_str(
                "<p class=\"back\"><a href=\"#top\">Back to the contents</a></p>\n</div>\n",
            );
            if let Some(fault) = &part.fault {
                self.tell(fault, WHOLE);
            }
        }
        let end = format!("{} {}", items::END, cover.config.number);
        whole.push_str(&format!(
            "<p class=\"end pack-end\">{}</p>\n",
            escape_html(end.trim_end())
        ));
        self.page(WHOLE, title, &whole, true, pack);
    }

    /// A page and its Markdown that say why they could not be made.
    fn plain(&mut self, name: &str, title: &str, fault: &TemplateFault, pack: &Pack<'_>) {
        let plain = Plain::new(title, fault);
        let (html, md) = (format!("{name}.html"), format!("{name}.md"));
        self.tell(fault, &html);
        self.tell(fault, &md);
        self.files.insert(md, plain.markdown().into_bytes());
        self.page(&html, title, &plain.article(0), true, pack);
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
        let own = match pack.own.fault(Use::Page) {
            Some(fault) => Err(fault.clone()),
            None => made(&pack.own.templates, body),
        };
        let page = own.or_else(|fault| {
            self.tell(&fault, file);
            made(
                &Templates::built_in(),
                &Plain::new(title, &fault).article(0),
            )
        });
        let page = page.unwrap_or_else(|fault| escape_html(&fault.to_string()));
        self.files.insert(file.to_owned(), page.into_bytes());
    }

    fn tell(&mut self, fault: &TemplateFault, file: &str) {
        match self.faults.iter_mut().find(|(known, _)| known == fault) {
            Some((_, files)) if files.iter().any(|known| known == file) => {}
            Some((_, files)) => files.push(file.to_owned()),
            None => self.faults.push((fault.clone(), vec![file.to_owned()])),
        }
    }
}

/// The front of the pack in marked Markdown, and as an article.
fn front(
    cover: &Cover<'_>,
    whole: bool,
    within: &Within,
    templates: &Templates,
) -> Result<(String, String), TemplateFault> {
    let mut pictures = Pictures::new();
    let marked = templates.fill("pack.md", &cover.parts(whole, &mut pictures))?;
    let body = document::html(&marked, &pictures, within);
    let article = format!("<article class=\"pack\" id=\"top\">\n{body}</article>\n");
    Ok((marked, article))
}

fn part(entry: &Entry, pack: &Pack<'_>) -> Part {
    let subject = subject(entry, pack.cover.entries);
    let options = Options {
        slug: Some(entry.slug.clone()),
        ..pack.options.clone()
    };
    let write = |options: &Options| match pack.own.fault(Use::Ct) {
        Some(fault) => Err(fault.clone()),
        None => report::ct(&subject, options, &pack.own.templates),
    };
    let workings = if pack.cover.config.all_workings {
        Worked::Headline
    } else {
        Worked::ToLookAt
    };
    let brief = Options {
        workings,
        lower: 1,
        ..options.clone()
    };
    match write(&options).and_then(|made| Ok((made, write(&brief)?.html))) {
        Ok((made, within)) => Part {
            title: made.title,
            markdown: made.markdown,
            html: made.html,
            within,
            fault: None,
        },
        Err(fault) => {
            let title = format!("Current transformer {}", entry.name);
            let plain = Plain::new(&title, &fault);
            Part {
                markdown: plain.markdown(),
                within: plain.article(1),
                html: plain.article(0),
                title,
                fault: Some(fault),
            }
        }
    }
}

fn subject<'a>(entry: &'a Entry, entries: &'a [Entry]) -> Subject<'a> {
    let sister = |other: &&Entry| {
        !std::ptr::eq(*other, entry) && is_sister(&entry.unit.record, &other.unit.record)
    };
    let sisters = entries.iter().filter(sister).map(|other| Sister {
        id: other.name.clone(),
        place: other
            .record()
            .place()
            .map(crate::record::place::Place::text)
            .unwrap_or_default(),
        record: &other.unit.record,
        assessment: &other.unit.assessment,
    });
    Subject::of(&entry.unit, sisters.collect())
}

fn options(config: &Config) -> Options {
    let stated = |text: &str| (!text.is_empty()).then(|| text.to_owned());
    Options {
        decimal_comma: config.decimal_comma,
        paper: config.paper,
        report_number: stated(&config.number),
        revision: stated(&config.revision),
        issued: config.issued.map(|day| day.value.to_string()),
        client: stated(&config.client.name),
        contractor: stated(&config.contractor.name),
        job: stated(&config.job),
        ..Options::default()
    }
}
