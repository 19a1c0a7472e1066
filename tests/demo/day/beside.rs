//! Files that lie beside the records of bay H13, and their lines in a record.

use super::circuit::Network;
use crate::demo::bench::Bench;
use crate::demo::write::piped;
use kneemark::ground::source::sha256;

/// A file with what it shows.
pub struct Beside {
    pub name: String,
    pub shows: &'static str,
    pub text: String,
}

/// What somebody drew who opened the wet terminal box.
pub fn sketch() -> Beside {
    let terminals: String = (0..4)
        .map(|at| {
            format!(
                "<circle cx=\"{}\" cy=\"70\" r=\"9\" fill=\"#fff\" stroke=\"#111\"/><text x=\"{0}\" y=\"50\" text-anchor=\"middle\">{}</text>\n",
                60 + 60 * at,
                ["1S1", "1S2", "2S1", "2S2"][at]
            )
        })
        .collect();
    Beside {
        name: "h13-l2-box.svg".to_owned(),
        shows: "sketch of the terminal box as found: water up to the terminals of 2S",
        text: format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 300 150\" width=\"300\" height=\"150\" font-family=\"sans-serif\" font-size=\"13\">\n\
             <rect width=\"300\" height=\"150\" fill=\"#fff\"/>\n<path d=\"M20 110 L290 62 V135 H20 Z\" fill=\"#bcd\"/>\n\
             <rect x=\"20\" y=\"20\" width=\"270\" height=\"115\" fill=\"none\" stroke=\"#111\" stroke-width=\"2\"/>\n{terminals}\
             <text x=\"30\" y=\"128\">water; the seal is torn at the right</text>\n</svg>\n"
        ),
    }
}

/// Three periods of the differential relay under load, as it gave them out.
pub fn transient(network: &Network, phase: &str) -> Beside {
    let amps = network.amps / super::RATED * std::f64::consts::SQRT_2;
    let rows = (0..=60).map(|at| {
        let angle = 2.0 * std::f64::consts::PI * f64::from(at) / 20.0;
        let through = amps * libm::sin(angle);
        format!("{at},{through:.4},{:.4}\n", 0.011 * through)
    });
    Beside {
        name: format!("h13-{}-f87b.csv", phase.to_lowercase()),
        shows: "F87B under load: time, restraining and operating current",
        text: "time/ms,restrain/A,operate/A\n".to_owned() + &rows.collect::<String>(),
    }
}

impl Bench<'_> {
    /// The files with the sums of their bytes.
    pub fn attachments(&mut self, files: &[Beside]) {
        let row = |file: &Beside| {
            let sum = sha256(file.text.as_bytes());
            vec![file.name.clone(), file.shows.to_owned(), sum]
        };
        let rows: Vec<Vec<String>> = files.iter().map(row).collect();
        let body = piped(&["file", "shows", "SHA-256"], &rows);
        self.text += &format!("\n[attachments]\n{body}");
    }
}
