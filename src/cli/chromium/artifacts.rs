//! What a browser draws beside the text, heads, feet, rules, bands of colour, has no tag; a reader for the
//! blind passes over it only when it is marked so.

/// Operators that begin a path, and those that end one.
const BEGINS: &[&str] = &["m", "re"];
const ENDS: &[&str] = &["f", "f*", "F", "S", "s", "B", "B*", "b", "b*", "n"];

/// The drawing of a page with all that stands in no tag marked. A browser writes one operator a line.
pub fn marked(drawing: &[u8]) -> Vec<u8> {
    let mut out = Vec::with_capacity(drawing.len() + 256);
    let (mut depth, mut is_within) = (0_usize, false);
    for line in drawing.split_inclusive(|byte| *byte == b'\n') {
        let mut words = line.split(u8::is_ascii_whitespace);
        let operator = words.rfind(|word| !word.is_empty());
        let operator = operator.and_then(|word| std::str::from_utf8(word).ok());
        let operator = operator.unwrap_or_default();
        match operator {
            _ if operator.ends_with("BDC") || operator == "BMC" => depth += 1,
            "EMC" => depth = depth.saturating_sub(1),
            _ => {}
        }
        let is_path = BEGINS.contains(&operator);
        let is_drawn = matches!(operator, "Do" | "sh");
        if depth == 0 && !is_within && (is_path || is_drawn || operator == "BT") {
            out.extend(b"/Artifact BMC\n");
            is_within = true;
        }
        out.extend(line);
        if is_within && (ENDS.contains(&operator) || is_drawn || operator == "ET") {
            if !line.ends_with(b"\n") {
                out.push(b'\n');
            }
            out.extend(b"EMC\n");
            is_within = false;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stands_in_no_tag_is_marked() {
        let page = "q\n0 0 1 1 re\nW\nn\n0 0 9 9 re\nf\n/P <</MCID 0 >>BDC\nBT\n<01> Tj\nET\n1 1 m\n2 2 l\nS\nEMC\n\
                    BT\n<02> Tj\nET\n/X4 Do\nQ\n";
        assert_eq!(
            String::from_utf8(marked(page.as_bytes())).unwrap(),
            "q\n/Artifact BMC\n0 0 1 1 re\nW\nn\nEMC\n/Artifact BMC\n0 0 9 9 re\nf\nEMC\n\
             /P <</MCID 0 >>BDC\nBT\n<01> Tj\nET\n1 1 m\n2 2 l\nS\nEMC\n\
             /Artifact BMC\nBT\n<02> Tj\nET\nEMC\n/Artifact BMC\n/X4 Do\nEMC\nQ\n"
        );
    }
}
