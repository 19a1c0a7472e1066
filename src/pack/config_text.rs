//! `pack.toml` as it is written: its tables and keys, before anything is made of them.

use super::config::{JobDefaults, Party};
use crate::record::config::Text;
use serde::Deserialize;
use std::collections::BTreeMap;
use toml::Spanned;

type Day = Option<Spanned<toml::value::Datetime>>;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FileText {
    pub(super) records: Option<Spanned<Vec<Spanned<String>>>>,
    pub(super) order: Option<Vec<Spanned<String>>>,
    #[serde(default)]
    pub(super) report: ReportText,
    #[serde(default)]
    pub(super) client: Party,
    #[serde(default)]
    pub(super) contractor: ContractorText,
    #[serde(default)]
    pub(super) job: NamedText,
    #[serde(default)]
    pub(super) authorised: RoleText,
    #[serde(default)]
    pub(super) jobs: BTreeMap<String, JobDefaults>,
    #[serde(default)]
    pub(super) numbers: NumbersText,
    #[serde(default)]
    pub(super) page: PageText,
    #[serde(default)]
    pub(super) templates: TemplatesText,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
pub(super) struct ReportText {
    pub(super) number: String,
    pub(super) revision: String,
    pub(super) issued: Day,
    pub(super) title: String,
    pub(super) history: Vec<RevisionText>,
    pub(super) methods: Vec<String>,
    pub(super) received: String,
    pub(super) sampling: String,
    pub(super) reasons: BTreeMap<Spanned<String>, String>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RevisionText {
    pub(super) revision: String,
    pub(super) date: Day,
    pub(super) what: String,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
pub(super) struct ContractorText {
    pub(super) name: String,
    pub(super) address: String,
    pub(super) contact: String,
    pub(super) logo: Text,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
pub(super) struct NamedText {
    pub(super) name: String,
    pub(super) site: String,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RoleText {
    pub(super) name: String,
    pub(super) role: String,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
pub(super) struct NumbersText {
    pub(super) decimal: Text,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
pub(super) struct PageText {
    pub(super) paper: Text,
    pub(super) workings: Text,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
pub(super) struct TemplatesText {
    pub(super) folder: Text,
}
