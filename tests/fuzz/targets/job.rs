//! A small job around what is tried.

#[path = "../../hostile/oracle.rs"]
pub mod oracle;

use kneemark::ground::seam::Memory;

/// What the input takes the place of.
#[derive(Clone, Copy, Debug)]
pub enum Target {
    /// A record.
    Record,
    /// pack.toml.
    Pack,
    /// instruments.toml and, behind the first NUL, criteria.toml.
    Settings,
    /// Two templates of the client's.
    Template,
}

impl Target {
    #[allow(dead_code, reason = "each fuzz target is one of them")]
    pub const ALL: [(Self, &str); 4] = [
        (Self::Record, "record"),
        (Self::Pack, "pack"),
        (Self::Settings, "settings"),
        (Self::Template, "template"),
    ];

    /// Runs every command over the job and holds what comes out to the promises.
    pub fn answers(self, given: &[u8]) {
        let files = Memory::default();
        let put = |name: &str, text: &[u8]| files.put(format!("job/{name}"), text);
        put(
            "instruments.toml",
            include_bytes!("../../../records/instruments.toml"),
        );
        put(
            "criteria.toml",
            include_bytes!("../../../records/criteria.toml"),
        );
        put("pack.toml", PACK);
        put(
            "record.ctr",
            include_bytes!("../../../records/skerrow/h07/h07-l1.ctr"),
        );
        match self {
            Self::Record => put("record.ctr", given),
            Self::Pack => put("pack.toml", given),
            Self::Settings => {
                let mut both = given.splitn(2, |byte| *byte == 0);
                put("instruments.toml", both.next().unwrap_or_default());
                put("criteria.toml", both.next().unwrap_or_default());
            }
            Self::Template => {
                put("own/ct.md", given);
                put("own/page.html", given);
            }
        }
        oracle::answered(&files, &String::from_utf8_lossy(given));
    }
}

const PACK: &[u8] = b"records = [\"*.ctr\"]\n[templates]\nfolder = \"own\"\n[annex]\nvalues = true\nreadings = true\n";
