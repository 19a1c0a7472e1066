//! The files of a pack, written into memory: a page per CT, the cover, and the whole pack on one page.

use super::config::{Config, Sheet};
use super::cover::{Links, cover};
use super::fallback;
use super::fill;
use super::items::{self, Checked};
use super::own_templates::{Own, Use, used_for};
use super::plan::Entry;
use crate::compare::is_sister;
use crate::report::{self, Options, Page, Paper, Sister, Subject, TemplateFault, Worked};
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
        // A file that is no template changes no page, but its owner expects it to.
        let idle = own
            .faults
            .iter()
            .filter(|fault| used_for(&fault.file) == Use::Nothing);
        writer
            .faults
            .extend(idle.map(|fault| (fault.clone(), Vec::new())));
        let options = options(config);
        // Ordered collection: the threads decide nothing about the bytes.
        let parts: Vec<Part> = entries
            .par_iter()
            .map(|entry| part(entry, entries, &options, config.all_workings, own))
            .collect();
        for (entry, part) in entries.iter().zip(&parts) {
            writer.ct(entry, part, &options, own);
        }
        let checked = items::check(config, entries);
        writer
            .warnings
            .extend(checked.iter().filter_map(Checked::warning));
        writer.covers(config, entries, &checked, logo, &parts, &options, own);
        writer
    }

    fn ct(&mut self, entry: &Entry, part: &Part, options: &Options, own: &Own) {
        let (html, md) = (
            format!("ct/{}.html", entry.slug),
            format!("ct/{}.md", entry.slug),
        );
        if let Some(fault) = &part.fault {
            self.tell(fault, &html);
            self.tell(fault, &md);
        }
        self.page(&html, &part.title, &part.html, "", options, own);
        self.files.insert(md, part.markdown.clone().into_bytes());
    }

    #[allow(
        clippy::too_many_arguments,
        reason = "everything that a cover is made of, used once"
    )]
    fn covers(
        &mut self,
        config: &Config,
        entries: &[Entry],
        checked: &[Checked],
        logo: &str,
        parts: &[Part],
        options: &Options,
        own: &Own,
    ) {
        let title = if config.title.is_empty() {
            "Test report: current transformers"
        } else {
            config.title.as_str()
        };
        let style = own.pack.fill(fill::STYLE, &()).unwrap_or_default();
        // Print: the matrix is wider than high.
        let style = format!(
            "{style}@page matrix{{size:{} landscape}}\n",
            options.paper.css()
        );
        let made = |links: Links, name: &str| match own.fault(Use::Cover) {
            Some(fault) => Err(fault.clone()),
            None => own
                .pack
                .fill(name, &cover(config, entries, checked, logo, links)),
        };
        let index = self.or_plain(made(Links::Pages, fill::HTML), "index.html", |fault| {
            fallback::article(title, fault)
        });
        self.sentences(&index);
        self.page("index.html", title, &index, &style, options, own);
        let markdown = self.or_plain(made(Links::Pages, fill::MARKDOWN), "index.md", |fault| {
            fallback::markdown(title, fault)
        });
        self.files
            .insert("index.md".to_owned(), markdown.into_bytes());
        let mut whole = self.or_plain(made(Links::Within, fill::HTML), WHOLE, |fault| {
            fallback::article(title, fault)
        });
        for (entry, part) in entries.iter().zip(parts) {
            whole.push_str(&format!(
                "<div class=\"in-pack\" id=\"ct-{}\">\n{}",
                entry.slug,
                one_lower(&part.within)
            ));
            whole.push_str(
                "<p class=\"back\"><a href=\"#top\">Back to the contents</a></p>\n</div>\n",
            );
            if let Some(fault) = &part.fault {
                self.tell(fault, WHOLE);
            }
        }
        let number = if config.number.is_empty() {
            String::new()
        } else {
            format!(" {}", config.number)
        };
        whole.push_str(&format!(
            "<p class=\"end pack-end\">{}</p>\n",
            fallback::escape_html(&format!("{}{number}", items::END))
        ));
        self.page(WHOLE, title, &whole, &style, options, own);
    }

    /// A client's cover may have lost the sentences that the standard asks for.
    fn sentences(&mut self, index: &str) {
        for sentence in [
            items::ONLY_THESE,
            items::IN_FULL,
            super::cover::NO_CLEARANCE,
        ] {
            if !index.contains(sentence) {
                self.warnings
                    .push(format!("the cover does not say: {sentence}"));
            }
        }
    }

    /// Wraps a body into a page.
    fn page(
        &mut self,
        file: &str,
        title: &str,
        body: &str,
        style: &str,
        options: &Options,
        own: &Own,
    ) {
        let made = match own.fault(Use::Page) {
            Some(fault) => Err(fault.clone()),
            None => report::page(
                &Page {
                    title,
                    body,
                    foot: title,
                },
                options,
                &own.report,
            ),
        };
        // The page has one style element; the rules of the cover go to its end.
        let made = made.map(|page| page.replacen("</style>", &format!("{style}</style>"), 1));
        let page = self.or_plain(made, file, |fault| fallback::page(title, fault));
        self.files.insert(file.to_owned(), page.into_bytes());
    }

    fn or_plain(
        &mut self,
        made: Result<String, TemplateFault>,
        file: &str,
        plain: impl FnOnce(&TemplateFault) -> String,
    ) -> String {
        made.unwrap_or_else(|fault| {
            self.tell(&fault, file);
            plain(&fault)
        })
    }

    fn tell(&mut self, fault: &TemplateFault, file: &str) {
        match self.faults.iter_mut().find(|(known, _)| known == fault) {
            Some((_, files)) if files.iter().any(|known| known == file) => {}
            Some((_, files)) => files.push(file.to_owned()),
            None => self.faults.push((fault.clone(), vec![file.to_owned()])),
        }
    }
}

fn part(
    entry: &Entry,
    entries: &[Entry],
    options: &Options,
    all_workings: bool,
    own: &Own,
) -> Part {
    let subject = subject(entry, entries);
    let options = &Options {
        slug: Some(entry.slug.clone()),
        ..options.clone()
    };
    let write = |options: &Options| match own.fault(Use::Ct) {
        Some(fault) => Err(fault.clone()),
        None => report::ct(&subject, options, &own.report),
    };
    let brief = Options {
        workings: if all_workings {
            Worked::Headline
        } else {
            Worked::ToLookAt
        },
        ..options.clone()
    };
    match write(options).and_then(|made| Ok((made, write(&brief)?.html))) {
        Ok((made, within)) => Part {
            title: made.title,
            markdown: made.markdown,
            html: made.html,
            within,
            fault: None,
        },
        Err(fault) => {
            let title = format!("Current transformer {}", entry.name);
            let html = fallback::article(&title, &fault);
            Part {
                markdown: fallback::markdown(&title, &fault),
                within: html.clone(),
                html,
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
        paper: match config.sheet {
            Sheet::A4 => Paper::A4,
            Sheet::Letter => Paper::Letter,
        },
        report_number: stated(&config.number),
        revision: stated(&config.revision),
        issued: config.issued.map(|day| day.value.to_string()),
        client: stated(&config.client.name),
        contractor: stated(&config.contractor.name),
        job: stated(&config.job),
        slug: None,
        workings: Worked::default(),
    }
}

/// The headings of a page, one level lower, for a page that has its own first heading.
fn one_lower(html: &str) -> String {
    // From the lowest up, so that no heading sinks twice. User text holds no `<`: it is escaped.
    (1..=5).rev().fold(html.to_owned(), |html, level| {
        let below = level + 1;
        html.replace(&format!("<h{level}"), &format!("<h{below}"))
            .replace(&format!("</h{level}>"), &format!("</h{below}>"))
    })
}
