//! A text and its page, written into a folder: both, or nothing when a file there is not ours.

use crate::document::{Paper, is_ours};
use crate::ground::seam::Files;
use crate::job::shown;
use std::path::{Path, PathBuf};

/// Where to, and how it is printed.
#[derive(clap::Args)]
pub struct Sheet {
    /// Folder to write the Markdown text and the HTML page into
    #[arg(short, long, value_name = "FOLDER", default_value = ".")]
    pub out: PathBuf,
    /// Sheet to print on
    #[arg(long, value_enum, ignore_case = true, default_value_t = Paper::A4)]
    pub paper: Paper,
}

impl Sheet {
    /// Writes both files; gives their paths, one a line.
    ///
    /// # Errors
    /// A sentence for people: what is in the way, or what cannot be written.
    pub fn write(
        &self,
        files: &dyn Files,
        slug: &str,
        markdown: &str,
        html: &str,
    ) -> Result<String, String> {
        // A folder cannot lie where a file is, nor within one.
        let is_file = |path: &&Path| files.exists(path) && !files.is_folder(path);
        if let Some(file) = self.out.ancestors().find(is_file) {
            return Err(format!(
                "not written: -o names the folder to write into, and {} is a file; name a folder, such as -o out",
                shown(file)
            ));
        }
        let both = [("md", markdown), ("html", html)];
        let both = both.map(|(ending, text)| (self.out.join(format!("{slug}.{ending}")), text));
        for (path, _) in &both {
            if files.exists(path) && !files.read(path).is_ok_and(|bytes| is_ours(&bytes)) {
                return Err(format!(
                    "not written: {} is there already, and kneemark did not write it; move it, or choose another folder with -o",
                    shown(path)
                ));
            }
        }
        let mut written = String::new();
        for (path, text) in &both {
            let name = shown(path);
            files
                .write(path, text.as_bytes())
                .map_err(|error| format!("not written: {name}: {error}"))?;
            written += &format!("{name}\n");
        }
        Ok(written)
    }
}
