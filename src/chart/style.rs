//! Rules for the page that holds the charts.

/// CSS for the charts, to be put once into the page: light, dark by the reader's preference, print.
/// A page with a theme of its own sets `--curve-paper`, `--curve-ink` and the other variables on a
/// parent of more weight, for instance `.night .curve`. Without these rules a chart is black on what
/// is behind it.
pub const STYLE: &str = "\
.curve{--curve-paper:#fff;--curve-ink:#1b1e23;--curve-main:#0f4c9c;--curve-second:#9a4a08;\
--curve-third:#146b4a;--curve-fourth:#6a3a9c;--curve-limit:#b0123f;\
color:var(--curve-ink);background:var(--curve-paper);max-width:100%;height:auto;overflow:visible}
@media screen and (prefers-color-scheme:dark){.curve{--curve-paper:#15181d;--curve-ink:#e4e7eb;\
--curve-main:#8fbcff;--curve-second:#f0a35e;--curve-third:#6fd0a2;--curve-fourth:#c8a6f5;--curve-limit:#ff8fa6}}
.curve path.main{stroke:var(--curve-main)}
.curve path.second{stroke:var(--curve-second)}
.curve path.third{stroke:var(--curve-third)}
.curve path.fourth{stroke:var(--curve-fourth)}
.curve path.limit{stroke:var(--curve-limit)}
.curve path.guess{stroke:var(--curve-ink);stroke-opacity:.7}
.curve path.mark{fill:var(--curve-paper)}
.curve path.band.second{fill:var(--curve-second)}
.curve path.point,.curve path.grid,.curve path.frame,.curve path.leader{stroke:var(--curve-ink)}
.curve g.label{stroke:var(--curve-paper)}
.curve g.main{fill:var(--curve-main)}
.curve g.second{fill:var(--curve-second)}
.curve g.third{fill:var(--curve-third)}
.curve g.fourth{fill:var(--curve-fourth)}
.curve g.limit{fill:var(--curve-limit)}
.curve g.small{opacity:.8}
@media screen{.curve{width:30rem}}
@media print{.curve{break-inside:avoid}}
";
