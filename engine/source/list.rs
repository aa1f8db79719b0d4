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
        key: "subpart-p-foot",
        standing: Standing::Memory,
        title: "29 CFR 1926 Subpart P, Appendix B, Figures B-1.1 to B-1.3: a vertically sided lower part without support in type A soil only, at most 3-1/2 ft high",
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
        title: "ACI 318-14 and 318-19 25.5.2, class B tension lap 1.3 ld (factor read in notes, not in the standard)",
    },
    Source {
        key: "frost",
        standing: Standing::Quoted,
        title: "IRC R403.1.4 (edition not named in the copy): bottom at least 12 in below undisturbed ground and below the local frost line",
    },
    Source {
        key: "guide-pressure",
        standing: Standing::Quoted,
        title: "ACI 347R-14 and 347-04 wall and column equations: coefficients from University of Florida temporary-structures notes (D. T. Allen, commit 7839ccd); limits of 14 ft, 7 and 15 ft/h, 7 in slump from M. K. Hurd, Concrete Construction, on 347-04 2.2.2; least pressure, columns' side, caps of 347-01 and the SI form from memory",
    },
    Source {
        key: "guide-coefficients",
        standing: Standing::Memory,
        title: "ACI 347R-14 coefficients Cw and Cc: quotations read in two places for Cc, Cw from memory; NOT VERIFIED against the guide",
    },
    Source {
        key: "ciria-108",
        standing: Standing::Quoted,
        title: "CIRIA Report 108 (Clear and Harrison, 1985): formula from a posted worked sheet and a thesis, p. 36; which mix has which C2 in part from memory",
    },
    Source {
        key: "din-18218",
        standing: Standing::Quoted,
        title: "DIN 18218:2010-01 for self-compacting concrete, from Concrete International 32(6), June 2010",
    },
    Source {
        key: "bracing-minimum",
        standing: Standing::Quoted,
        title: "formwork textbook, sec. 7.2.2, p. 191, and reinforced-concrete textbook, ch. 12, p. 338: greater of local wind, no less than 15 psf, and 100 lb per ft of wall at its top",
    },
    Source {
        key: "strut-load",
        standing: Standing::Quoted,
        title: "formwork textbook, design of lateral bracing; the copy's equation is garbled and was derived again by moments",
    },
    Source {
        key: "bracing-course",
        standing: Standing::Copy,
        title: "University of Florida temporary-structures notes (D. T. Allen, commit 7839ccd): nail values times load-duration factor, rounded up",
    },
    Source {
        key: "bar-tables",
        standing: Standing::Copy,
        title: "ASTM A615/A615M-95c table; EN 10080 sizes with area and mass from the diameter at 7850 kg/m3; CSA G30.18 with mass from the nominal area; soft metric columns and 55M from memory",
    },
    Source {
        key: "development-general",
        standing: Standing::Quoted,
        title: "ACI 318-14 Eq. 25.4.2.3a, 318-19 Eq. 25.4.2.4a, from CRSI ETN-D-1-15; factor for the grade over 60 ksi from memory",
    },
    Source {
        key: "class-a-lap",
        standing: Standing::Quoted,
        title: "ACI 318-14 and 318-19 25.5.2, class A tension lap 1.0 ld (Maryland SHA note); that its least 12 in comes last from memory",
    },
    Source {
        key: "unequal-lap",
        standing: Standing::Quoted,
        title: "ACI 318-14 and 318-19 25.5.2.2, from Kamara and Novak, PCA",
    },
    Source {
        key: "field-lap",
        standing: Standing::Quoted,
        title: "C. Beall, Masonry and Concrete, p. 53: lap of 30 bar diameters, an old field rule",
    },
    Source {
        key: "compression-development",
        standing: Standing::Quoted,
        title: "ACI 318-14 and 318-19 25.4.9: seen in Merritt and Ricketts; what the 0.75 asks for from memory",
    },
    Source {
        key: "compression-lap",
        standing: Standing::Quoted,
        title: "ACI 318-14 and 318-19 25.5.5, from Kamara and Novak, PCA, Table 8-4; fy over 60 ksi from memory",
    },
    Source {
        key: "hook-development",
        standing: Standing::Quoted,
        title: "ACI 318-14 25.4.3.1 and 318-19 25.4.3: formulas quoted, conditions of some factors from memory",
    },
    Source {
        key: "bridge-lap",
        standing: Standing::Derived,
        title: "AASHTO LRFD 2016 tension lap as it reproduces the Maryland SHA table of class B laps; f'c 3 ksi and cover 2 in of that table are inferred",
    },
    Source {
        key: "ec2-anchorage",
        standing: Standing::Quoted,
        title: "EN 1992-1-1:2004, 8.4 and 8.7, from reference pages",
    },
    Source {
        key: "wall-minimum-steel",
        standing: Standing::Quoted,
        title: "ACI 318-14 Table 11.6.1, low shear: values quoted in engineers' threads, table from memory",
    },
    Source {
        key: "wall-spacing",
        standing: Standing::Memory,
        title: "ACI 318-14 11.7: three thicknesses, no more than 18 in",
    },
    Source {
        key: "cover",
        standing: Standing::Quoted,
        title: "ACI 318-14 Table 20.6.1.3.1, from Concrete Construction, \"Cover for rebars\" and ACI FAQ 903",
    },
    Source {
        key: "standard-hooks",
        standing: Standing::Quoted,
        title: "ACI 318 Table 25.3.1 as quoted; end-hook table of ACI 315 from memory, corroborated by Oklahoma DOT R-54-CM and by geometry",
    },
    Source {
        key: "bend-deductions",
        standing: Standing::Copy,
        title: "R. Birley, Concrete International, March 2006, Table 1; the copy lost its column of sizes, which the article's example fixes",
    },
    Source {
        key: "bs-8666",
        standing: Standing::Quoted,
        title: "BS 8666:2020 shape codes, from two suppliers' copies that agree; radii from copies of the 2005 edition",
    },
    Source {
        key: "waste-tier",
        standing: Standing::Copy,
        title: "NAVEDTRA 14071, p. 17-10: waste 10 %, 5 % over 200 cy",
    },
    Source {
        key: "concrete-yield",
        standing: Standing::Copy,
        title: "NRMCA CIP-8: yield = batch weight over unit weight; hardened volume about 2 % less",
    },
    Source {
        key: "bag-yield",
        standing: Standing::Quoted,
        title: "trade pages: 0.15 cf for every 20 lb of dry mix",
    },
    Source {
        key: "army-lumber",
        standing: Standing::Copy,
        title: "US Army Engineer School EN5155, p. 1-28: board feet of boards",
    },
    Source {
        key: "concrete-handbook",
        standing: Standing::Published,
        title: "Gillette and Hill, Concrete Construction: Methods and Costs, 1908 (public domain, whole text), ch. IX, XIX, tables XXXIII and XXXIV",
    },
    Source {
        key: "army-forms",
        standing: Standing::Copy,
        title: "US Army Engineer School EN5151, Design Forms for a Concrete Wall, and EN5466, lesson 3: table method of seventeen steps",
    },
    Source {
        key: "ready-mix",
        standing: Standing::Quoted,
        title: "ASTM C94/C94M-21 change note; 90 minutes of earlier editions from memory",
    },
    Source {
        key: "setting-times",
        standing: Standing::Memory,
        title: "old handbook list of setting times, partly confirmed by general pages at 100, 80 and 30 F",
    },
    Source {
        key: "nurse-saul",
        standing: Standing::Quoted,
        title: "Nurse-Saul maturity as ASTM C1074 has it; advice on the datum from memory",
    },
    Source {
        key: "equivalent-age",
        standing: Standing::Quoted,
        title: "EN 1992-1-1 and CEB-FIP MC90 Eq. 2.1-87 (constants 4000 K, 293 K read, 13.65 from memory); Q = 5000 K and the Hansen-Pedersen energies from memory",
    },
    Source {
        key: "stripping",
        standing: Standing::Quoted,
        title: "ACI 347 default stripping times (edition not named), from Concrete Construction, \"When to strip forms\" and sister articles",
    },
    Source {
        key: "footing-stripping",
        standing: Standing::Quoted,
        title: "ACI 347 row for walls (edition not named); C. Beall, Masonry and Concrete, p. 76: walls and footings 3 days; 500 psi against frost, PCA ch. 14",
    },
    Source {
        key: "cold-weather",
        standing: Standing::Quoted,
        title: "ACI 306R tables, from C. Beall, Masonry and Concrete, pp. 76-77, and Concrete Construction; drops over 36 in from memory",
    },
    Source {
        key: "cold-mixing",
        standing: Standing::Quoted,
        title: "ACI 306R table of mixing temperatures, from C. Beall, Masonry and Concrete, p. 77; rows over 36 in from memory",
    },
    Source {
        key: "cold-protection",
        standing: Standing::Quoted,
        title: "ACI 306.1-90, from Concrete Construction, \"Length of protection period in cold weather\"",
    },
    Source {
        key: "unit-price-governs",
        standing: Standing::Quoted,
        title: "GAO B-213495 (1984): the unit price governs over its extension",
    },
    Source {
        key: "strip-overlap",
        standing: Standing::Quoted,
        title: "NHBC Standards 4.3.8, Table 3 (edition not named in the quotation)",
    },
    Source {
        key: "footing-slope",
        standing: Standing::Quoted,
        title: "IBC 1809.3 (edition not named) as NYC Administrative Code BC 1809.2: top level, bottom no steeper than 1 in 10, else stepped",
    },
    Source {
        key: "step-limits",
        standing: Standing::Quoted,
        title: "National Building Code of Canada 9.15.3.9, from secondary pages; three quarters of the run is a rule of the trade, no code",
    },
    Source {
        key: "adjoining-footings",
        standing: Standing::Quoted,
        title: "IBC 1809.6, 2018, p. 470: 30 degrees in granular soil",
    },
    Source {
        key: "level-orders",
        standing: Standing::Memory,
        title: "FGCC 1984 and EM 1110-1-1005 limits of misclosure; 0.035 ft root mile of class II confirmed by Army course EN0593, p. 4-4",
    },
    Source {
        key: "level-adjustment",
        standing: Standing::Copy,
        title: "Universiti Sains Malaysia levelling example (by set-ups); FM 5-233 App. B: total correction has the opposite sign of the misclosure",
    },
    Source {
        key: "grade-rod",
        standing: Standing::Copy,
        title: "NAVEDTRA 14069, fig. 14-36: grade rod = height of instrument - finish grade; NAVEDTRA 14081, pp. 15-30 and 15-31",
    },
    Source {
        key: "coordinate-area",
        standing: Standing::Copy,
        title: "Wikibooks, Fundamentals of Transportation, Earthwork: area by coordinates",
    },
    Source {
        key: "earthwork-volumes",
        standing: Standing::Copy,
        title: "Wikibooks, Fundamentals of Transportation, Earthwork: average end area, prismoid; grid by heights used once to four times",
    },
    Source {
        key: "earth-states",
        standing: Standing::Copy,
        title: "FM 5-434: bank, loose and compacted volumes of one weight",
    },
    Source {
        key: "structuralcodes",
        standing: Standing::Derived,
        title: "structuralcodes 0.7.2 (fib, Apache-2.0), recorded: python3 -c \"from structuralcodes.codes import ec2_2004 as c; print(c.fctk_5(c.fctm(25)))\"",
    },
    Source {
        key: "rankine",
        standing: Standing::Quoted,
        title: "Rankine coefficients for level and sloping fill, worked in B. M. Das, foundation and geotechnical engineering examples; at rest 1 - sin phi (Jaky) and its over-consolidated form from memory",
    },
    Source {
        key: "coulomb",
        standing: Standing::Quoted,
        title: "Coulomb's active coefficient, worked in B. M. Das, examples 13.7, 13.9 and 7.4",
    },
    Source {
        key: "wall-stability",
        standing: Standing::Quoted,
        title: "IBC 1807.2.3 (edition not named) from a public notes file: 1.5 for sliding and overturning, less with earthquake",
    },
    Source {
        key: "das-walls",
        standing: Standing::Quoted,
        title: "B. M. Das, foundation engineering example 8.1, from companion code that prints its numbers",
    },
    Source {
        key: "lumber-sizes",
        standing: Standing::Copy,
        title: "American Softwood Lumber Standard PS 20 (edition not named), dry dressed sizes (web reproduction); section properties follow from them",
    },
    Source {
        key: "lumber-values",
        standing: Standing::Quoted,
        title: "NDS Supplement Table 4A and adjustment factors (edition not named; the duration factors are those of 2018), from University of Florida temporary-structures notes and from the tables of an open finite-element library",
    },
    Source {
        key: "form-spans",
        standing: Standing::Copy,
        title: "University of Florida temporary-structures notes, weeks 6 and 7 (after ACI SP-4 Table 7-1 and APA D510): spans continuous over three or more",
    },
    Source {
        key: "form-plywood",
        standing: Standing::Quoted,
        title: "APA, Concrete Forming, edition of 2004, section properties of form plywood, as quoted in a handbook of formwork; sanded plywood of group 1 from University of Florida temporary-structures notes, week 7",
    },
    Source {
        key: "flexure",
        standing: Standing::Memory,
        title: "ACI 318 rectangular stress block with strength factor 0.9, least steel of 9.6.1.2: from memory, checked by an own example",
    },
    Source {
        key: "tie-factors",
        standing: Standing::Quoted,
        title: "ACI 347 least safety factors (edition not named) as quoted in Concrete Construction, \"Safety factor for form ties\", and Peurifoy and Oberlender, Formwork for Concrete Structures, p. 86",
    },
    Source {
        key: "residential-bars",
        standing: Standing::Copy,
        title: "IRC Table R608.5.4(1) (edition not named) and its table of alternate bars (web copy of the code)",
    },
    Source {
        key: "tolerances",
        standing: Standing::Quoted,
        title: "ACI 117 (90 and 10) as quoted in UFGS 03700, a page on 117M-10, and Concrete Construction questions on footings and walls",
    },
    Source {
        key: "code-soil-loads",
        standing: Standing::Quoted,
        title: "IBC Table 1610.1, GW to GC read in a copy of the 2021 Virginia Construction Code",
    },
    Source {
        key: "code-bearing",
        standing: Standing::Quoted,
        title: "IBC 2012 Table 1806.2 as quoted in a handbook of geotechnical earthquake engineering, p. 484; half of the dead load by 1806.3.2",
    },
    Source {
        key: "base-friction",
        standing: Standing::Copy,
        title: "NAVFAC DM 7.02 (1986), chapter 3, Table 1",
    },
    Source {
        key: "web-volumes",
        standing: Standing::Derived,
        title: "arithmetic of web pages on wall volumes, no published source; EN5466, lesson 2, for a stem of two widths",
    },
    Source {
        key: "sympy",
        standing: Standing::Derived,
        title: "sympy 1.14.0 (BSD), recorded: python3 -c \"from sympy import *; print(abs(Polygon((0,0),(100,0),(100,50),(60,80),(0,60)).area), integrate((40+2*x)*(10+2*x),(x,0,6)))\" gives 6800 4488",
    },
    Source {
        key: "shah",
        standing: Standing::Quoted,
        title: "M. G. Shah and C. M. Kale, RCC Theory and Design, 2nd ed. 1972, examples 12.1 and 12.3, from companion code; 12.1 is a source's row only, its pressure stops short of the base",
    },
    Source {
        key: "sarkar",
        standing: Standing::Quoted,
        title: "B. K. Sarkar, Strength of Materials, example 14.13, from companion code; its printed pressures rest on a wrong arm",
    },
    Source {
        key: "clarke-1910",
        standing: Standing::Copy,
        title: "G. C. Clarke, The Site of the Terminal Station, Trans. ASCE vol. LXVIII, 1910, paper 1157, Tables 1-3 and text (public domain)",
    },
    Source {
        key: "tape-conversions",
        standing: Standing::Quoted,
        title: "published conversions of decimal feet to feet and inches on general web pages",
    },
    Source {
        key: "si-factors",
        standing: Standing::Copy,
        title: "Navy appendix on conversion factors, and a handbook table of factors to SI",
    },
    Source {
        key: "seabee",
        standing: Standing::Copy,
        title: "NAVEDTRA 14045 and 14233, estimating arithmetic; the delay factor of 67 over efficiency from memory",
    },
    Source {
        key: "army-nails",
        standing: Standing::Copy,
        title: "US Army Engineer School EN0069A, paragraph 4-9",
    },
    Source { key: "navy-estimating", standing: Standing::Copy, title: "NAVEDTRA 14071, p. 17-10" },
    Source {
        key: "gillette-hill",
        standing: Standing::Published,
        title: "H. P. Gillette and C. S. Hill, Concrete Construction: Methods and Cost, 1908 (public domain), Fig. 98 and chapter XIII",
    },
    Source {
        key: "wall-figures",
        standing: Standing::Copy,
        title: "Statics of a cantilever wall as worked in B. M. Das, Principles of Foundation Engineering, example 8.1 (companion solutions, edition not named); limit of IBC 1807.2.3 (edition not named)",
    },
    Source {
        key: "layered-thrust",
        standing: Standing::Copy,
        title: "Layers and water as worked in B. M. Das, Principles of Geotechnical Engineering, example 13.1, p. 430 (companion solutions, edition not named)",
    },
    Source {
        key: "cohesive-thrust",
        standing: Standing::Copy,
        title: "Cohesive fill and its crack as worked in B. M. Das, Principles of Foundation Engineering, example 7.2, and Principles of Geotechnical Engineering, example 13.5, p. 453 (companion solutions, edition not named)",
    },
    Source {
        key: "surcharge-elastic",
        standing: Standing::Memory,
        title: "Elastic solution for line and strip loads, doubled for an unyielding wall, with the change at 0.4 of the height, as earth-pressure texts and design manuals print it: no copy read",
    },
    Source {
        key: "evaporation",
        standing: Standing::Memory,
        title: "P. J. Uno, Plastic shrinkage cracking and evaporation formulas, ACI Materials Journal, 1998, the formula that fits the chart of ACI 305R; precautions over 1 kg/m2/h",
    },
    Source {
        key: "stake-marks",
        standing: Standing::Copy,
        title: "marks of cut and fill stakes to hundredths, such as C-2.58, in a trade article",
    },
    Source {
        key: "man-days",
        standing: Standing::Copy,
        title: "NAVEDTRA 14045, pp. 2-27 to 2-32: man-days = amount / unit x man-hours / 8 x delay factor",
    },
    Source {
        key: "shrinkage-steel",
        standing: Standing::Memory,
        title: "ACI 318-14 Table 24.4.3.2 and 318-19 24.4.3.2",
    },
    Source {
        key: "excess-steel",
        standing: Standing::Memory,
        title: "ACI 318-14 and 318-19 25.4.10",
    },
];

/// The source with this key.
pub fn find(key: &str) -> Option<&'static Source> {
    SOURCES.iter().find(|source| source.key == key)
}
