//! TEMPORARY local stand-in, replaced at merge.
use std::collections::HashMap;
use std::sync::OnceLock;
macro_rules! schemes { ($($v:ident $k:literal),* $(,)?) => {
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
    pub enum Scheme { $($v),* }
    impl Scheme { pub const ALL: &'static [Scheme] = &[$(Scheme::$v),*];
        pub fn key(self) -> &'static str { match self { $(Scheme::$v => $k),* } }
        pub fn title(self) -> &'static str { self.key() }
        pub fn from_key(k: &str) -> Option<Self> { Self::ALL.iter().copied().find(|s| s.key()==k) } } } }
schemes!(Fibre "fibre", Weave "weave", Stitch "stitch", Seam "seam", Damage "damage", Dimension "dimension", Garment "garment", Component "component", View "view", Light "light", Hazard "hazard", Storage "storage", Grade "grade", Stability "stability", Severity "severity", Urgency "urgency", Activity "activity", Cause "cause", Method "method", TextileRole "textile_role", Purpose "purpose", Fastening "fastening", Stiffener "stiffener", Trimming "trimming", Finish "finish", Sign "sign", Event "event", PersonRole "person_role", DepartureReason "departure_reason", Nature "nature", Evidence "evidence", Certainty "certainty");
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct TermId(String);
impl Default for TermId { fn default() -> Self { Self("fibre/x".into()) } }
impl std::fmt::Display for TermId { fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result { f.write_str(self.name()) } }
impl TermId {
    pub fn new(scheme: Scheme, name: &str) -> TermId { TermId(format!("{}/{name}", scheme.key())) }
    pub fn parse(text: &str) -> Option<TermId> { text.contains('/').then(|| TermId(text.into())) }
    pub fn as_str(&self) -> &str { &self.0 }
    pub fn name(&self) -> &str { self.0.split_once('/').map_or("", |p| p.1) }
    pub fn scheme(&self) -> Scheme { *Scheme::ALL.iter().find(|s| Some(s.key()) == self.0.split('/').next()).unwrap() }
}
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Term { pub id: TermId, pub also: Vec<String>, pub broader: Option<TermId>, pub definition: String, pub source: String, pub local: bool, pub dimensions: Vec<String>, pub components: Vec<String> }
#[derive(Debug, Clone, Default)]
pub struct Vocabulary(Vec<Term>, HashMap<String, usize>);
pub enum Side { Left }
impl std::fmt::Display for Side { fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result { f.write_str("left") } }
impl Vocabulary {
    pub fn shipped() -> &'static Vocabulary { static V: OnceLock<Vocabulary> = OnceLock::new(); V.get_or_init(Vocabulary::default) }
    pub fn with_local(&self, local: Vec<Term>) -> Vocabulary { let mut v = self.clone(); v.0.extend(local); v }
    pub fn find(&self, _scheme: Scheme, text: &str) -> Result<&Term, String> { Err(text.into()) }
    pub fn get(&self, _: &TermId) -> Option<&Term> { None }
    pub fn terms(&self, s: Scheme) -> impl Iterator<Item=&Term> { self.0.iter().filter(move |t| t.id.scheme()==s) }
    pub fn version(&self) -> String { "0".into() }
    pub fn component_side(&self, _: &str) -> (Option<Side>, Option<&Term>) { (None, None) }
}
