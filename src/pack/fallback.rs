//! The plain page that stands where a template cannot be used: it says so, and says no result.

use crate::report::{GENERATOR, MARK, TemplateFault, escape_markdown};

/// The sentence that tells what is wrong.
pub fn sentence(fault: &TemplateFault) -> String {
    let line = fault
        .line
        .map(|line| format!(", line {line}"))
        .unwrap_or_default();
    format!(
        "template {}{line}: {}; {}",
        fault.file, fault.message, fault.help
    )
}

/// The inside of a page.
pub fn article(title: &str, fault: &TemplateFault) -> String {
    format!(
        "<article><h1>{}</h1><p><strong>This page could not be made.</strong> {}</p></article>\n",
        escape_html(title),
        escape_html(&sentence(fault))
    )
}

/// A whole page that rests on no template.
pub fn page(title: &str, fault: &TemplateFault) -> String {
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"generator\" content=\"{GENERATOR}\">\n\
         <meta name=\"viewport\" content=\"width=device-width\">\n<title>{}</title>\n</head>\n<body>\n{}</body>\n</html>\n",
        escape_html(title),
        article(title, fault)
    )
}

/// The page in Markdown.
pub fn markdown(title: &str, fault: &TemplateFault) -> String {
    format!(
        "# {}\n\n**This page could not be made.** {}\n\n{MARK}\n",
        escape_markdown(title),
        escape_markdown(&sentence(fault))
    )
}

/// Text that can be no markup.
pub fn escape_html(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c => out.push(c),
        }
    }
    out
}
