//! What is handed to people, before it is Markdown or HTML: texts, blocks, tables. There is one way
//! to a page: blocks are printed as Markdown, a template puts the parts in order, and HTML is made
//! of that Markdown. What a part is (a grade, a folded chapter, a figure's place, a field for the
//! pen) travels with it by type, in signs of the private-use area that no text of others can hold.
//!
//! Knows nothing of the trade.

mod block;
mod escape;
mod grade;
mod html;
mod links;
mod markdown;
mod marks;
mod number_style;
mod page;
pub(crate) mod phrase;
mod slug;
mod table;
pub mod template;
mod templates;
#[cfg(test)]
mod tests;
mod text;

pub use crate::ground::calm::escape_html;
pub use block::{
    Align, Block, Cell, Column, Figure, NONE, Picture, PictureFile, Pictures, Row, Table,
    TableStyle,
};
pub use escape::{escape_markdown, escape_within};
pub use grade::Grade;
pub use html::{Links, Within, html};
pub use links::page_id;
pub use markdown::{plain, print};
pub use number_style::{NO_BREAK, NumberStyle, sign};
pub use page::{Page, Paper, finish, is_ours};
pub(crate) use phrase::say;
pub use phrase::{Part, Phrase, Quantity};
pub use slug::{free, slug, slug_or};
pub use templates::{Filling, TemplateFault, Templates, stranger};
pub use text::{Inline, Text, joined};
