//! Phrases of catalogues, a table a language.

use crate::dating::{Conventions, Dated};

/// One table a language: text, first year, last year, EDTF.
type Phrases = &'static [(&'static str, Option<i32>, Option<i32>, &'static str)];

fn reads(phrases: Phrases) {
    for (text, earliest, latest, written) in phrases {
        let found = Dated::parse(text, &Conventions::default()).unwrap_or_else(|refusal| panic!("`{text}`: {refusal}"));
        assert_eq!((found.earliest, found.latest), (*earliest, *latest), "`{text}`");
        assert_eq!(found.edtf.as_deref(), Some(*written), "`{text}`");
    }
}

#[test]
fn french_catalogues_are_read() {
    reads(&[
        ("vers 1760", Some(1755), Some(1765), "1760~"),
        ("v. 1760", Some(1755), Some(1765), "1760~"),
        ("environ 1760", Some(1755), Some(1765), "1760~"),
        ("XVIIIe siècle", Some(1700), Some(1799), "17XX"),
        ("XVIIIᵉ s.", Some(1700), Some(1799), "17XX"),
        ("18e siecle", Some(1700), Some(1799), "17XX"),
        ("dernier quart du dix-huitième siècle", Some(1775), Some(1799), "1775/1799"),
        ("première moitié du XIXe siècle", Some(1800), Some(1849), "1800/1849"),
        ("1re moitié XIXe s.", Some(1800), Some(1849), "1800/1849"),
        ("milieu du XVIIIe siècle", Some(1733), Some(1766), "1733/1766"),
        ("mi-XVIIIe siècle", Some(1733), Some(1766), "1733/1766"),
        ("fin du XVIIIe siècle", Some(1767), Some(1799), "1767/1799"),
        ("début XIXe siècle", Some(1800), Some(1832), "1800/1832"),
        ("3e quart du XVIIIe siècle", Some(1750), Some(1774), "1750/1774"),
        ("fin XVIIIe-début XIXe siècle", Some(1767), Some(1832), "1767/1832"),
        ("du XVIIe au XIXe siècle", Some(1600), Some(1899), "1600/1899"),
        ("au tournant du XVIIIe et du XIXe siècle", Some(1790), Some(1809), "1790/1809"),
        ("années 1750", Some(1750), Some(1759), "175X"),
        ("fin des années 1750", Some(1757), Some(1759), "1757/1759"),
        ("avant 1800", None, Some(1799), "../1799"),
        ("après 1850", Some(1851), None, "1851/.."),
        ("jusqu’en 1800", None, Some(1800), "../1800"),
        ("entre 1760 et 1775", Some(1760), Some(1775), "1760/1775"),
        ("de 1760 à 1775", Some(1760), Some(1775), "1760/1775"),
        ("1795 ou 1796", Some(1795), Some(1796), "[1795,1796]"),
        ("probablement 1815", Some(1815), Some(1815), "1815?"),
        ("14 février 1812", Some(1812), Some(1812), "1812-02-14"),
        ("1er mars 1812", Some(1812), Some(1812), "1812-03-01"),
        ("de\u{301}but XIXe sie\u{300}cle", Some(1800), Some(1832), "1800/1832"),
        ("300 av. J.-C.", Some(-299), Some(-299), "-0299"),
    ]);
}

#[test]
fn german_catalogues_are_read() {
    reads(&[
        ("um 1760", Some(1755), Some(1765), "1760~"),
        ("wohl um 1815", Some(1810), Some(1820), "1815%"),
        ("18. Jahrhundert", Some(1700), Some(1799), "17XX"),
        ("18. Jh.", Some(1700), Some(1799), "17XX"),
        ("erste Hälfte des 19. Jahrhunderts", Some(1800), Some(1849), "1800/1849"),
        ("1. Haelfte 19. Jh.", Some(1800), Some(1849), "1800/1849"),
        ("drittes Viertel 19. Jahrhundert", Some(1850), Some(1874), "1850/1874"),
        ("3. Viertel 19. Jh.", Some(1850), Some(1874), "1850/1874"),
        ("letztes Drittel 18. Jh.", Some(1767), Some(1799), "1767/1799"),
        ("Anfang 19. Jh.", Some(1800), Some(1832), "1800/1832"),
        ("Mitte des 18. Jahrhunderts", Some(1733), Some(1766), "1733/1766"),
        ("spätes 18. Jh.", Some(1767), Some(1799), "1767/1799"),
        ("Ende 18./Anfang 19. Jahrhundert", Some(1767), Some(1832), "1767/1832"),
        ("Wende vom 18. zum 19. Jahrhundert", Some(1790), Some(1809), "1790/1809"),
        ("17.-18. Jh.", Some(1600), Some(1799), "1600/1799"),
        ("1750er Jahre", Some(1750), Some(1759), "175X"),
        ("späte 1880er", Some(1887), Some(1889), "1887/1889"),
        ("vor 1800", None, Some(1799), "../1799"),
        ("nach 1850", Some(1851), None, "1851/.."),
        ("ab 1850", Some(1850), None, "1850/.."),
        ("zwischen 1760 und 1775", Some(1760), Some(1775), "1760/1775"),
        ("von 1760 bis 1775", Some(1760), Some(1775), "1760/1775"),
        ("vermutlich 1815", Some(1815), Some(1815), "1815?"),
        ("am 14. März 1987", Some(1987), Some(1987), "1987-03-14"),
        ("300 v. Chr.", Some(-299), Some(-299), "-0299"),
    ]);
}

#[test]
fn italian_dutch_and_spanish_catalogues_are_read() {
    reads(&[
        ("1760 circa", Some(1755), Some(1765), "1760~"),
        ("XVIII secolo", Some(1700), Some(1799), "17XX"),
        ("prima metà del XIX secolo", Some(1800), Some(1849), "1800/1849"),
        ("metà del XIX secolo", Some(1833), Some(1866), "1833/1866"),
        ("terzo quarto del sec. XVIII", Some(1750), Some(1774), "1750/1774"),
        ("Settecento", Some(1700), Some(1799), "17XX"),
        ("omstreeks 1760", Some(1755), Some(1765), "1760~"),
        ("eerste helft 19e eeuw", Some(1800), Some(1849), "1800/1849"),
        ("1795 of 1796", Some(1795), Some(1796), "[1795,1796]"),
        ("tussen 1760 en 1775", Some(1760), Some(1775), "1760/1775"),
        ("hacia 1760", Some(1755), Some(1765), "1760~"),
        ("s. XVIII", Some(1700), Some(1799), "17XX"),
        ("primera mitad del siglo XIX", Some(1800), Some(1849), "1800/1849"),
        ("mediados del siglo XIX", Some(1833), Some(1866), "1833/1866"),
    ]);
}

#[test]
fn records_of_museums_use_these_wordings_too() {
    reads(&[
        ("300 BC", Some(-299), Some(-299), "-0299"),
        ("332-32 BC", Some(-331), Some(-31), "-0331/-0031"),
        ("100 BC-AD 400", Some(-99), Some(400), "-0099/0400"),
        ("late 4th-3rd century B.C.", Some(-332), Some(-200), "-0332/-0200"),
        ("AD 1st-2nd century", Some(1), Some(199), "0001/0199"),
        ("941 AH/AD 1534", Some(1534), Some(1534), "1534"),
        ("1215 AH (1800-1801 AD)", Some(1800), Some(1801), "1800/1801"),
        ("Qianlong period (1736-1795)", Some(1736), Some(1795), "1736/1795"),
        ("Qing dynasty, 19th century", Some(1800), Some(1899), "18XX"),
        ("1862 (patent registered)", Some(1862), Some(1862), "1862"),
        ("19th century (1840-1860)", Some(1840), Some(1860), "1840/1860"),
        ("1790 (18th century)", Some(1790), Some(1790), "1790"),
        ("early 19th century, after 1804", Some(1805), Some(1832), "1805/1832"),
        ("19th century, second half", Some(1850), Some(1899), "1850/1899"),
        ("second quarter, 19th century", Some(1825), Some(1849), "1825/1849"),
        ("1st and 2nd quarter of 19th century", Some(1800), Some(1849), "1800/1849"),
        ("late 18th century to early 19th", Some(1767), Some(1832), "1767/1832"),
        ("18th century or later", Some(1700), None, "1700/.."),
        ("1800 or earlier", None, Some(1800), "../1800"),
        ("1920–present", Some(1920), None, "1920/.."),
        ("1930s/40s", Some(1930), Some(1949), "1930/1949"),
        ("1833 and 1836", Some(1833), Some(1836), "{1833,1836}"),
        ("1795, 1796 or 1797", Some(1795), Some(1797), "[1795,1796,1797]"),
        ("a. 1952, b. 1902", Some(1902), Some(1952), "{1952,1902}"),
        ("A. 1940s  B, C. 1950s", Some(1940), Some(1959), "{194X,195X}"),
        ("(a) 1950; (b) 1952", Some(1950), Some(1952), "{1950,1952}"),
        ("[ca. 1760]", Some(1755), Some(1765), "1760~"),
        ("spring/summer 1988", Some(1988), Some(1988), "1988-21/1988-22"),
        ("fall/winter 1990-91", Some(1990), Some(1991), "1990/1991"),
        ("14–16 March 1987", Some(1987), Some(1987), "1987-03-14/1987-03-16"),
        ("March-April 1803", Some(1803), Some(1803), "1803-03/1803-04"),
        ("registered 2/27/1896", Some(1896), Some(1896), "1896-02-27"),
        ("?exhibited 1845 or 1847", Some(1845), Some(1847), "[1845?,1847?]"),
        ("1888–9 and 1891", Some(1888), Some(1891), "{1888..1889,1891}"),
        ("late 19th early 20th century", Some(1867), Some(1932), "1867/1932"),
        ("19th (?) century", Some(1800), Some(1899), "18XX?"),
        ("AD 1-50", Some(1), Some(50), "0001/0050"),
        ("300-200 B.C.", Some(-299), Some(-199), "-0299/-0199"),
        ("after 1850, probably 1860s", Some(1860), Some(1869), "186X?"),
        ("1790, 18th century", Some(1790), Some(1790), "1790"),
        ("in or before 1850", None, Some(1850), "../1850"),
        ("signed and dated 1850", Some(1850), Some(1850), "1850"),
        ("1936 design, 1950 production", Some(1936), Some(1950), "1936/1950"),
        ("1953 (A), 1955 (B)", Some(1953), Some(1955), "{1953,1955}"),
        ("turn of the 18th-19th century", Some(1790), Some(1809), "1790/1809"),
        ("C18", Some(1700), Some(1799), "17XX"),
        ("late C18th", Some(1767), Some(1799), "1767/1799"),
        ("after c. 1819–20", Some(1821), None, "1821~/.."),
    ]);
}
