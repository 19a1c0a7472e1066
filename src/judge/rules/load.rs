//! Current on load: its rules.

use super::rules;

rules! {
    Load, Circuit {
        LOAD_CURRENT = "load-current" {
            title: "secondary current on load",
            means: "secondary current and its angle in service, as read",
            matters: "it is the last proof of ratio, star point and direction, for a person to compare",
            action: "",
            source: "common practice, no source",
        }
        LOAD_RATIO = "load-ratio" {
            title: "secondary current on load, against the primary current",
            means: "how far a secondary current on load is from the primary current by the rated ratio of the pair in service, behind a main CT by the overall ratio",
            matters: "a current that is half or double shows a wrong tap, a wrong ratio or a second path, before a fault does",
            action: "read both currents again at one moment; then check tap, links and a second earth, with the primary dead before anything is opened",
            source: "common practice, no source",
        }
        LOAD_LINKS = "load-links" {
            title: "primary links on load otherwise than written",
            means: "currents on load that all fit the ratio with the primary links in another position than they are written in",
            matters: "every relay and meter of the unit is on half or twice the current that it is set for, or the record has the links wrong",
            action: "look how the links of the primary lie, from the ground or with the primary dead, and write it down; then hold settings and currents against that",
            source: "series and parallel of the primary, as on its plate; common practice, no source",
        }
        LOAD_ANGLE = "load-angle" {
            title: "direction of the secondary current on load",
            means: "the angle from the primary to the secondary current of this unit's phase: near 0 with it, near 180 deg against it",
            matters: "a current that is turned round makes a directional or differential protection trip in service, and fail for a fault",
            action: "see first that both measurements count power the same way; then star point, terminals and setting, with the primary dead before anything is opened",
            source: "common practice, no source",
        }
        LOAD_ROTATION = "load-rotation" {
            title: "order of the phases on load",
            means: "how far L2 is from a third of a turn behind L1, and L3 from two thirds, at one relay or meter",
            matters: "two phases exchanged, or one turned round, are negative-sequence current to a relay, and wrong power to a meter",
            action: "see first that all angles are against one reference; then follow each phase from the core to its terminal, with the primary dead before anything is opened",
            source: "common practice, no source",
        }
        LOAD_NEUTRAL = "load-neutral" {
            title: "neutral current on load",
            means: "the current of the neutral against the mean of the three phases",
            matters: "an earth-fault relay sees it all the time; more than the load leaves shows a phase that is turned round, missing or of another ratio",
            action: "compare with what the primary load leaves; then look for a phase of another ratio, turned round, or with a second earth",
            source: "common practice, no source",
        }
        LOAD_NEUTRAL_SUM = "load-neutral-sum" {
            title: "neutral current on load, against the sum of the phases",
            means: "the current of the neutral less the sum of the three phasors, against the mean of the three phases",
            matters: "a neutral that carries less is open or has another path beside it, most often a second earth; one that carries more takes current from elsewhere",
            action: "read all four again at one moment; then count the earths of the circuit, with the primary dead before one is lifted",
            source: "Kirchhoff's current law; that it is looked at, common practice, no source",
        }
        LOAD_UNFED = "load-unfed" {
            title: "current shown of a phase that is not driven",
            means: "what a relay or meter shows of a phase while a source drives this unit's phase alone, as a share of rated current",
            matters: "a phase that shows what another one carries is crossed with it, or a second path leads there",
            action: "follow both phases from the cores to their inputs, with the primary dead; count the earths; mend it, and drive the current again",
            source: "common practice, no source",
        }
    }
    Load, Measurement {
        LOAD_SLIP = "load-slip" {
            title: "current on load, written in another unit",
            means: "secondary and primary current on load are off each other by a thousand: more likely a slip of the unit than a fault of the circuit",
            matters: "as they are written they show nothing of the ratio",
            action: "look at both meters again, and correct the unit of one of them",
            source: "common practice, no source",
        }
    }
}
