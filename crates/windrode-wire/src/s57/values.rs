//! The chart's own words for the codes of its attributes, as far as they matter to who lies at anchor.
//!
//! Source: IHO S-57 edition 3.1, appendix A, chapter 2, attribute values; from memory of that catalogue, high
//! confidence. A code that is not listed is told by its number.

use windrode_domain::seabed::{Nature, Qualifier};

use super::Feature;

/// Words of the codes of an attribute.
type Words = (&'static str, &'static [(u16, &'static str)]);

const VALUES: &[Words] = &[
    (
        "RESTRN",
        &[
            (1, "anchoring prohibited"),
            (2, "anchoring restricted"),
            (3, "fishing prohibited"),
            (4, "fishing restricted"),
            (5, "trawling prohibited"),
            (6, "trawling restricted"),
            (7, "entry prohibited"),
            (8, "entry restricted"),
            (9, "dredging prohibited"),
            (10, "dredging restricted"),
            (11, "diving prohibited"),
            (12, "diving restricted"),
            (13, "no wake"),
            (14, "area to be avoided"),
            (15, "construction prohibited"),
            (16, "discharging prohibited"),
            (17, "discharging restricted"),
            (18, "industrial or mineral exploration prohibited"),
            (19, "industrial or mineral exploration restricted"),
            (20, "drilling prohibited"),
            (21, "drilling restricted"),
            (22, "removal of historical artifacts prohibited"),
            (23, "cargo transhipment prohibited"),
            (24, "dragging prohibited"),
            (25, "stopping prohibited"),
            (26, "landing prohibited"),
            (27, "speed restricted"),
        ],
    ),
    (
        "CATREA",
        &[
            (1, "offshore safety zone"),
            (4, "nature reserve"),
            (5, "bird sanctuary"),
            (6, "game reserve"),
            (7, "seal sanctuary"),
            (8, "degaussing range"),
            (9, "military area"),
            (10, "historic wreck area"),
            (12, "navigational aid safety zone"),
            (14, "minefield"),
            (18, "swimming area"),
            (19, "waiting area"),
            (20, "research area"),
            (21, "dredging area"),
            (22, "fish sanctuary"),
            (23, "ecological reserve"),
            (24, "no wake area"),
            (25, "swinging area"),
            (26, "water skiing area"),
            (27, "environmentally sensitive sea area"),
            (28, "particularly sensitive sea area"),
        ],
    ),
    (
        "CATACH",
        &[
            (1, "unrestricted anchorage"),
            (2, "deep water anchorage"),
            (3, "tanker anchorage"),
            (4, "explosives anchorage"),
            (5, "quarantine anchorage"),
            (6, "sea-plane anchorage"),
            (7, "small craft anchorage"),
            (8, "small craft mooring area"),
            (9, "anchorage for periods up to 24 hours"),
            (10, "anchorage for a limited period of time"),
        ],
    ),
    (
        "CATMFA",
        &[(1, "crustaceans"), (2, "oysters or mussels"), (3, "fish"), (4, "seaweed"), (5, "pearl culture")],
    ),
    (
        "CATCBL",
        &[
            (1, "power line"),
            (3, "transmission line"),
            (4, "telephone"),
            (5, "telegraph"),
            (6, "mooring cable"),
        ],
    ),
    (
        "CATPIP",
        &[(2, "outfall pipe"), (3, "intake pipe"), (4, "sewer"), (5, "bubbler system"), (6, "supply pipe")],
    ),
    (
        "CATOBS",
        &[
            (1, "snag or stump"),
            (2, "wellhead"),
            (3, "diffuser"),
            (4, "crib"),
            (5, "fish haven"),
            (6, "foul area"),
            (7, "foul ground"),
            (8, "ice boom"),
            (9, "ground tackle"),
            (10, "boom"),
        ],
    ),
    (
        "CATWRK",
        &[
            (1, "non-dangerous wreck"),
            (2, "dangerous wreck"),
            (3, "distributed remains of a wreck"),
            (4, "wreck showing masts"),
            (5, "wreck showing hull or superstructure"),
        ],
    ),
    (
        "CATDPG",
        &[
            (2, "chemical waste dumping ground"),
            (3, "nuclear waste dumping ground"),
            (4, "explosives dumping ground"),
            (5, "spoil ground"),
            (6, "vessel dumping ground"),
        ],
    ),
    (
        "WATLEV",
        &[
            (1, "partly submerged at high water"),
            (2, "always dry"),
            (3, "always under water"),
            (4, "covers and uncovers"),
            (5, "awash"),
            (6, "subject to flooding"),
            (7, "floating"),
        ],
    ),
    (
        "QUASOU",
        &[
            (1, "depth known"),
            (2, "depth unknown"),
            (3, "doubtful sounding"),
            (4, "unreliable sounding"),
            (5, "no bottom found at the depth shown"),
            (6, "least depth known"),
            (7, "least depth unknown, safe clearance at the depth shown"),
            (8, "reported, not surveyed"),
            (9, "reported, not confirmed"),
            (10, "maintained depth"),
            (11, "not regularly maintained"),
        ],
    ),
    (
        "STATUS",
        &[
            (1, "permanent"),
            (2, "occasional"),
            (3, "recommended"),
            (4, "not in use"),
            (5, "periodic"),
            (6, "reserved"),
            (7, "temporary"),
            (8, "private"),
            (9, "mandatory"),
            (11, "extinguished"),
            (12, "illuminated"),
            (13, "historic"),
            (14, "public"),
            (15, "synchronized"),
            (16, "watched"),
            (17, "unwatched"),
            (18, "existence doubtful"),
        ],
    ),
    (
        "CONDTN",
        &[
            (1, "under construction"),
            (2, "ruined"),
            (3, "under reclamation"),
            (4, "wingless"),
            (5, "planned construction"),
        ],
    ),
    (
        "VERDAT",
        &[
            (1, "mean low water springs"),
            (2, "mean lower low water springs"),
            (3, "mean sea level"),
            (4, "lowest low water"),
            (5, "mean low water"),
            (6, "lowest low water springs"),
            (7, "approximate mean low water springs"),
            (8, "Indian spring low water"),
            (9, "low water springs"),
            (10, "approximate lowest astronomical tide"),
            (11, "nearly lowest low water"),
            (12, "mean lower low water"),
            (13, "low water"),
            (14, "approximate mean low water"),
            (15, "approximate mean lower low water"),
            (16, "mean high water"),
            (17, "mean high water springs"),
            (18, "high water"),
            (19, "approximate mean sea level"),
            (20, "high water springs"),
            (21, "mean higher high water"),
            (22, "equinoctial spring low water"),
            (23, "lowest astronomical tide"),
            (24, "local datum"),
            (25, "International Great Lakes Datum 1985"),
            (26, "mean water level"),
            (27, "lower low water large tide"),
            (28, "higher high water large tide"),
            (29, "nearly highest high water"),
            (30, "highest astronomical tide"),
        ],
    ),
];

/// The attributes whose words tell a feature, in the order in which they are told.
const TOLD: [&str; 11] = [
    "CATREA", "CATACH", "CATMFA", "CATCBL", "CATPIP", "CATOBS", "CATWRK", "CATDPG", "RESTRN", "STATUS",
    "CONDTN",
];

/// The word of a code of an attribute; `None` where it is not listed.
pub fn word(acronym: &str, code: u16) -> Option<&'static str> {
    let (_, words) = VALUES.iter().find(|row| row.0 == acronym)?;
    words.iter().find(|row| row.0 == code).map(|row| row.1)
}

/// The words of all codes of a feature's attribute; codes not listed by number.
pub fn words(feature: &Feature, acronym: &str) -> Vec<String> {
    let told = |code| word(acronym, code).map_or_else(|| format!("{acronym} {code}"), str::to_owned);
    feature.codes(acronym).into_iter().map(told).collect()
}

/// A feature in the chart's own words: its class, name, categories, restrictions, and what is written beside it.
pub fn told(feature: &Feature) -> String {
    let mut parts = vec![feature.class().name().into_owned()];
    parts.extend(feature.text("OBJNAM").map(str::to_owned));
    parts.extend(TOLD.into_iter().flat_map(|acronym| words(feature, acronym)));
    let dates = [
        ("DATSTA", "from"),
        ("DATEND", "until"),
        ("PERSTA", "each year from"),
        ("PEREND", "each year until"),
    ];
    for (acronym, word) in dates {
        parts.extend(feature.text(acronym).map(|date| format!("{word} {date}")));
    }
    parts.extend(feature.text("INFORM").map(str::to_owned));
    let [first, rest @ ..] = parts.as_slice() else { return String::new() };
    if rest.is_empty() { first.clone() } else { format!("{first}: {}", rest.join("; ")) }
}

/// What the bottom is of, the most important first, each with what qualifies it: "fine sand", "shells"; a code that is
/// not listed by its number. Empty: the feature does not say.
///
/// The lists of natures (`NATSUR`) and of qualifications (`NATQUA`) run side by side; a qualification without a nature
/// ("hard") stands by itself.
pub fn bottom(feature: &Feature) -> Vec<String> {
    let codes = |acronym| {
        let text = feature.text(acronym).unwrap_or_default();
        let codes = text.split([',', '/']).map(|code| code.trim().parse::<u8>().ok());
        codes.collect::<Vec<Option<u8>>>()
    };
    let (natures, qualities) = (codes("NATSUR"), codes("NATQUA"));
    let count = natures.len().max(qualities.len());
    let nature = |code: u8| match Nature::from_code(code) {
        Nature::Unlisted(code) => format!("unlisted nature {code}"),
        listed => listed.word().to_owned(),
    };
    let quality = |code: u8| {
        let listed = Qualifier::from_code(code).map(|listed| listed.word().to_owned());
        listed.unwrap_or_else(|| format!("unlisted quality {code}"))
    };
    let words = (0..count).map(|place| {
        let of = |codes: &[Option<u8>]| codes.get(place).copied().flatten();
        let parts = [of(&qualities).map(quality), of(&natures).map(nature)];
        parts.into_iter().flatten().collect::<Vec<_>>().join(" ")
    });
    words.filter(|words| !words.is_empty()).collect()
}
