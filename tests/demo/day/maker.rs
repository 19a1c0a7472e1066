//! Sections of a visit at the maker's that a site does not have.

use crate::demo::bench::Bench;
use crate::demo::write::{piped, sig, table};

impl Bench<'_> {
    /// The bar of the primary in both positions of its links; ohm at 20 C in parallel.
    pub fn primary_resistance(&mut self, parallel: f64) {
        let mut rows = Vec::new();
        for (links, times) in [("parallel", 1.0), ("series", 4.0)] {
            let ohms = parallel * times * (234.5 + self.visit.celsius) / 254.5;
            let set = 10.0 * self.noise.spread(0.3);
            let id = self.visit.kit.bridge;
            let amps = self.read(id, ["primary-resistance", "current"], set);
            let volts = self.read(id, ["primary-resistance", "voltage"], set * ohms);
            rows.push(vec![links.to_owned(), sig(amps, 4), sig(volts * 1e3, 4)]);
        }
        let body = table(&["links", "current/A", "voltage/mV"], &rows);
        self.text += &format!(
            "\n[primary-resistance]\nwires: 4\ntemperature: {:.1} +- 0.5 C\n{body}",
            self.visit.celsius
        );
    }

    /// Withstand of everything against everything, inter-turn, discharge, dissipation factor, and the type tests
    /// that are referred to. Um is 145 kV with BIL 650 kV.
    pub fn high_voltage(&mut self) {
        let cores: Vec<_> = self
            .unit
            .cores
            .iter()
            .map(|core| core.name.clone())
            .collect();
        let words = |cells: [&str; 4]| cells.map(str::to_owned).to_vec();
        let mut rows = vec![
            words(["primary to cores and earth", "275", "60", "held"]),
            words(["P1-C1 to C2-P2", "3", "60", "held"]),
        ];
        for core in &cores {
            rows.push(words([
                &format!("{core} to primary, cores and earth"),
                "3",
                "60",
                "held",
            ]));
        }
        let body = table(&["between", "voltage/kV", "time/s", "result"], &rows);
        self.text += &format!("\n[withstand]\n{body}");
        let rows: Vec<Vec<String>> = self
            .unit
            .cores
            .iter()
            .map(|core| {
                let peak = (0.0045 * core.winding.turns).min(4.4);
                let pair = core.pair(core.full());
                [&pair, "100", &sig(peak, 2), "60", "held"]
                    .map(|cell: &str| cell.to_owned())
                    .to_vec()
            })
            .collect();
        let body = table(&["on", "rated/%", "peak/kV", "time/s", "result"], &rows);
        self.text += &format!("\n[inter-turn]\n{body}");
        self.text += "\n[partial-discharge]\nvoltage/kV  charge/pC\n145         6\n100.5       3\n";
        self.text += &format!(
            "\n[dissipation-factor]\ntemperature: {:.0} C\nbetween                     voltage/kV  capacitance/pF  factor/%\n\
             primary to cores and earth  10          812             0.27\nprimary to cores and earth  83.7        813             0.29\n",
            self.visit.celsius
        );
        let rows = [
            [
                "temperature-rise",
                "TC-118",
                "BW 145",
                "2024-02-01",
                "passed",
                "1.2 times rated current",
            ],
            [
                "short-time-current",
                "TC-121",
                "BW 145",
                "2024-02-09",
                "passed",
                "31.5 kA, 1 s",
            ],
        ];
        let rows = rows.map(|row| row.map(str::to_owned).to_vec());
        let body = piped(
            &["test", "certificate", "of", "date", "result", "remark"],
            &rows,
        );
        self.text += &format!("\n[type-test]\n{body}");
    }
}
