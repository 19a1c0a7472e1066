//! Writing what was made into a folder: all of it, or nothing when a file there is not ours.

use crate::ground::seam::Files;
use crate::job::shown;
use std::path::Path;

/// Writes files by their names; gives their paths, one a line.
///
/// # Errors
/// A sentence for people: what is in the way, or what cannot be written.
pub fn write(
    files: &dyn Files,
    folder: &Path,
    made: &[(String, String)],
    is_ours: impl Fn(&[u8]) -> bool,
) -> Result<String, String> {
    let paths: Vec<_> = made.iter().map(|(name, _)| folder.join(name)).collect();
    for path in &paths {
        if files.exists(path) && !files.read(path).is_ok_and(|bytes| is_ours(&bytes)) {
            return Err(format!(
                "not written: {} is there already, and kneemark did not write it; move it, or choose another folder with -o",
                shown(path)
            ));
        }
    }
    let mut written = String::new();
    for (path, (_, text)) in paths.iter().zip(made) {
        files
            .write(path, text.as_bytes())
            .map_err(|error| format!("not written: {}: {error}", shown(path)))?;
        written += &format!("{}\n", shown(path));
    }
    Ok(written)
}
