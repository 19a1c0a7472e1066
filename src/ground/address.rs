//! Paths as addresses (RFC 3986): in a browser, and in wire formats.

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};

/// What means nothing by itself in the path of an address.
const PLAIN: &AsciiSet = &NON_ALPHANUMERIC
    .remove(b'/')
    .remove(b'-')
    .remove(b'_')
    .remove(b'.')
    .remove(b'~');

/// In a path from the root the colon of a drive is no scheme's.
const ROOTED: &AsciiSet = &PLAIN.remove(b':');

/// The address of a file: of a path from the root `file:///…`, else relative as the path is.
pub fn address(path: &str) -> String {
    let path = path.replace('\\', "/");
    let has_drive = path.get(1..3) == Some(":/");
    match (path.starts_with('/'), has_drive) {
        (true, _) => format!("file://{}", utf8_percent_encode(&path, ROOTED)),
        (false, true) => format!("file:///{}", utf8_percent_encode(&path, ROOTED)),
        (false, false) => utf8_percent_encode(&path, PLAIN).to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::address;

    #[test]
    fn nothing_in_a_name_is_taken_for_a_part_of_the_address() {
        assert_eq!(address("h07/L1 50%.ctr"), "h07/L1%2050%25.ctr");
        assert_eq!(address("http:x?y#z.ctr"), "http%3Ax%3Fy%23z.ctr");
        assert_eq!(address("../Ω.ctr"), "../%CE%A9.ctr");
        assert_eq!(address("/a b/c.ctr"), "file:///a%20b/c.ctr");
        assert_eq!(address("C:\\a\\b.ctr"), "file:///C:/a/b.ctr");
    }
}
