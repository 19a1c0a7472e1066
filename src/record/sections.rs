//! The list of all sections.

use super::kinds::TestKind;
use super::schema::Section;
use super::{attachments, core, duty, place, plate, sign_off, visit};

/// All sections, in the order of the grammar page.
pub fn all() -> impl Iterator<Item = &'static Section> {
    let above: [&'static Section; 7] = [
        &plate::SCHEMA,
        &place::SCHEMA,
        &core::SCHEMA,
        &duty::SCHEMA,
        &visit::SCHEMA,
        &attachments::SCHEMA,
        &sign_off::SCHEMA,
    ];
    let tests = TestKind::ALL.iter().map(|kind| kind.schema());
    above.into_iter().chain(tests)
}

/// The section of this name or spelling.
pub fn named(name: &str) -> Option<&'static Section> {
    all().find(|section| section.is_called(name))
}
