//! As left: its rules.

use super::rules;

rules! {
    Restored, Circuit {
        TAP_AS_LEFT = "tap-as-left" {
            title: "tap in service as left",
            means: "the tap on which a core was left, held against the tap its duty names, else against the one it was found on",
            matters: "relay settings and meter factors depend on the tap in service",
            action: "ask which is right, then correct the duty on record, or the connection with the primary dead and earthed; relay settings depend on it",
            source: "common practice, no source",
        }
        PRIMARY_LINKS_AS_LEFT = "primary-links-as-left" {
            title: "primary links as left",
            means: "the position in which the primary links were left, held against the ratio that was read last on the day, and against how they were found",
            matters: "another position of the links is another ratio: every relay and meter then gets half or double the current that it is set for",
            action: "look at the links with the primary dead and earthed, and ask which ratio relays and meters are set for; what is meant to differ is said in a `note:` of [restored]",
            source: "common practice, no source",
        }
        CIRCUIT_AS_LEFT = "circuit-as-left" {
            title: "circuit as left",
            means: "whether a core in service was left on its circuit with closed links, and a spare core shorted",
            matters: "an open secondary under primary current can reach kilovolts, and can kill; a shorted core feeds no relay",
            action: "keep the primary dead; close the links of a core in service, short and earth a spare one (`use: spare` in its [core]), then write how it was left",
            source: "common practice, no source; UFC 3-560-01, 9-5.2: no secondary is opened while the primary is live",
        }
        RESTORED_UNCHECKED = "restored-unchecked" {
            title: "check of the restoration",
            means: "whether a second person is named who checked the restoration",
            matters: "the person who opened a link is the one most likely to overlook it",
            action: "",
            source: "common practice, no source",
        }
        CIRCUIT_EARTHS = "circuit-earths" {
            title: "earths of the circuit",
            means: "the earths counted on a secondary circuit, which needs exactly one, or that its earth was left broken",
            matters: "without an earth the secondary can float to primary voltage; between two earths a difference of earth potential can drive current through the relay",
            action: "find and lift all earths but one, with the circuit shorted at the CT and one earth on at all times",
            source: "IEEE C57.13.3-2014: one earth for each secondary circuit",
        }
    }
}
