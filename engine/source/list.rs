//! The one list of sources. A value that names a key not on it fails a test.

use super::{Source, Standing};

/// Every source that a function, a default or a caution rests on.
pub const SOURCES: &[Source] = &[
    Source {
        key: "definition",
        standing: Standing::Derived,
        title: "follows from the definition of the quantity; no trade value in it",
    },
    Source {
        key: "practice",
        standing: Standing::CommonPractice,
        title: "common practice of the trade, no source",
    },
    Source {
        key: "company",
        standing: Standing::Company,
        title: "the figure of this job or company, as written in its settings",
    },
    Source {
        key: "survey-foot",
        standing: Standing::Quoted,
        title: "85 FR 62698 (5 October 2020): U.S. survey foot 1200/3937 m, retired 31 December 2022",
    },
    Source {
        key: "subpart-p",
        standing: Standing::Quoted,
        title: "29 CFR 1926 Subpart P, 1926.651(c)(2), 1926.652(a)-(b), Appendix B Table B-1",
    },
    Source {
        key: "levelling",
        standing: Standing::Derived,
        title: "height of sight = known height + backsight; height = height of sight - reading",
    },
    Source {
        key: "form-pressure",
        standing: Standing::Quoted,
        title: "NAVEDTRA 14045, wall form design; Concrete Construction, \"Form pressure\": 150 pcf of depth",
    },
    Source {
        key: "development-simple",
        standing: Standing::Quoted,
        title: "CRSI ETN-D-1-15; Merritt and Ricketts, Table 9.8: fy/(25 root f'c) db up to #6, 20 for #7 and larger",
    },
    Source {
        key: "class-b-lap",
        standing: Standing::Quoted,
        title: "ACI 318 25.5.2, class B tension lap 1.3 ld (factor read in notes, not in the standard)",
    },
    Source {
        key: "frost",
        standing: Standing::Quoted,
        title: "IRC R403.1.4: bottom at least 12 in below undisturbed ground and below the local frost line",
    },
];

/// The source with this key.
pub fn find(key: &str) -> Option<&'static Source> {
    SOURCES.iter().find(|source| source.key == key)
}
