//! `[remanence]`: remanence factor and loop time constant of gapped cores.

use crate::record::schema::section;
use crate::record::value::choices;

section! {
    "remanence", "remanence factor and loop time constant";
    /// What was found.
    Remanence {
        method: Choice(Method) "method of IEC 61869-2, Annex 2B";
        factor "remanence factor": Percent "remanent flux over saturation flux";
        loop_time_constant "loop time constant": Time
            "secondary loop time constant at the rated burden";
        inductance: Inductance "magnetising inductance";
    }
}

choices! {
    /// Methods of IEC 61869-2, Annex 2B.
    #[strum(serialize_all = "lowercase")]
    pub enum Method {
        Dc,
        Ac,
        Capacitor,
    }
}
