//! `dimity show`: everything recorded of one piece.

use jiff::civil::Date;

use super::say::{count, day};
use super::{Desk, Failure};
use crate::analysis::{care, hazards};
use crate::catalogue::Catalogue;
use crate::digest::short;
use crate::exchange::import::table::plain;
use crate::exchange::sheet;
use crate::measure::rounded;
use crate::record::PieceFile;
use crate::vocabulary::Vocabulary;

/// Show everything recorded of one piece, now or as it stood on a day
#[derive(Debug, clap::Args)]
pub struct Show {
    /// Accession number
    number: String,
    /// As it was recorded at the end of this day, as the journal tells it; without advice, which is of today
    #[arg(long, value_name = "DAY", value_parser = day)]
    as_of: Option<Date>,
}

impl Show {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        if let Some(day) = self.as_of {
            return self.as_it_stood(&catalogue, day, desk);
        }
        let file = catalogue.piece(&self.number)?;
        let withdrawal = catalogue.withdrawal(&self.number)?;
        if desk.json {
            let mut json = crate::exchange::json::with_advice(&file, catalogue.vocabulary(), desk.today());
            if let Some(withdrawal) = withdrawal {
                json["withdrawn"] = serde_json::json!(withdrawal);
            }
            desk.out.line(json.to_string());
            return Ok(());
        }
        if let Some(withdrawal) = withdrawal {
            desk.out.line(format!("# {withdrawal}\n"));
        }
        recorded(&file, catalogue.vocabulary(), desk);
        to_look_for(&file, catalogue.vocabulary()).iter().for_each(|line| desk.out.line(line));
        care_lines(&file, catalogue.vocabulary(), desk.today()).iter().for_each(|line| desk.out.line(line));
        Ok(())
    }

    fn as_it_stood(&self, catalogue: &Catalogue, day: Date, desk: &mut Desk) -> Result<(), Failure> {
        let moment = catalogue.moment(day)?;
        let Some(file) = catalogue.piece_after(&self.number, moment.row)? else {
            let number = &self.number;
            return Err(format!(
                "`{number}` was not in the catalogue on {day}; `dimity journal {number}` tells since when"
            )
            .into());
        };
        if desk.json {
            let mut json = crate::exchange::json::of_piece(&file);
            json["as_of"] = serde_json::json!({ "day": day.to_string(), "after": moment });
            desk.out.line(json.to_string());
            return Ok(());
        }
        desk.out
            .line(format!("# as it was recorded on {day}, after row {} of the journal ({})\n", moment.row, moment.at));
        recorded(&file, catalogue.vocabulary(), desk);
        Ok(())
    }
}

/// What is recorded, as a sheet.
fn recorded(file: &PieceFile, vocabulary: &Vocabulary, desk: &mut Desk) {
    desk.out.line(sheet::filled(file, None).trim_end());
    for (i, exam) in file.examinations.iter().enumerate() {
        let alone = crate::record::PieceFile { examinations: vec![exam.clone()], ..Default::default() };
        desk.out.line(format!("\n# examination {} of {}", i + 1, file.examinations.len()));
        desk.out.line(sheet::filled(&alone, Some(0)).trim_end());
    }
    old_lists(file, desk);
    desk.out.line(format!("\n# {}", count(file.photographs.len(), "photograph")));
    for photo in &file.photographs {
        let view = photo.view.as_ref().map_or("view not recorded", |v| v.name());
        let taken = photo.capture.taken.as_deref().unwrap_or("time not recorded");
        desk.out.line(format!("# {}  {view}  {taken}  {}", short(&photo.sha256), plain(&photo.original_name)));
        let rights = photo.rights.line(vocabulary);
        if !rights.is_empty() {
            desk.out.line(format!("#   {rights}"));
        }
        if let Some(said) = photo.scale.as_ref().and_then(|s| Some((s, s.said()?))) {
            let (k, u) = rounded(said.1.px_per_mm.value, said.1.px_per_mm.u);
            desk.out.line(format!("#   scale {k} px/mm (u {u}), from {}", said.0.size));
        }
        for region in &photo.regions {
            let size = crate::cli::photo::size(photo, region);
            let size = if size.is_empty() { size } else { format!(": {size}") };
            let what = region.outlines.as_ref().map(|c| format!(" (outline of {c})")).unwrap_or_default();
            desk.out.line(format!("#   region {}{what}{size}", region.label));
        }
    }
}

/// What old lists said, the cells that say something, each cut to a line.
fn old_lists(file: &PieceFile, desk: &mut Desk) {
    for source in &file.sources {
        let sheet = source.sheet.as_ref().map(|s| format!(", sheet {}", plain(s))).unwrap_or_default();
        desk.out.line(format!("\n# from the old list {}{sheet}, row {}", plain(&source.file), source.row));
        for cell in source.cells.iter().filter(|c| !c.text.trim().is_empty()) {
            let text = plain(&cell.text);
            let more = if text.chars().count() > 80 { " ..." } else { "" };
            desk.out.line(format!("#   {}: {}{more}", plain(&cell.heading), text.chars().take(80).collect::<String>()));
        }
    }
}

/// Care as remarks.
fn care_lines(file: &PieceFile, vocabulary: &Vocabulary, today: Date) -> Vec<String> {
    let mut lines = Vec::new();
    for advice in care::advise(file, vocabulary, today) {
        if lines.is_empty() {
            lines.push("\n# Care".to_owned());
        }
        lines.push(format!("# {}", advice.topic));
        let or_blank = |text: Option<&String>| text.cloned().unwrap_or_default();
        if let Some(o) = &advice.overruled {
            lines.push(format!("#   {}", or_blank(o.instead.as_ref())));
            lines.push(format!("#   because: {}; what the program advises:", or_blank(o.reason.as_ref())));
        }
        for line in &advice.lines {
            lines.push(format!("#   {}", line.text));
            let because =
                if line.because.is_empty() { String::new() } else { format!("{}; ", line.because.join("; ")) };
            lines.push(format!("#     {because}source: {}", line.source));
        }
    }
    lines
}

/// Hazards to look for as remarks, so that what is shown still reads as a sheet.
fn to_look_for(file: &PieceFile, vocabulary: &Vocabulary) -> Vec<String> {
    let found = hazards::suggest(file, vocabulary);
    if found.is_empty() {
        return Vec::new();
    }
    let mut lines = vec![format!("\n# {}", hazards::HEADING)];
    for suggestion in &found {
        lines.push(format!("# {}", suggestion.hazard));
        for p in &suggestion.by {
            lines.push(format!("#   {}", p.sentence));
            lines.push(format!("#   because: {}; rule \"{}\": {}", p.reasons.join("; "), p.rule, p.source));
        }
    }
    lines.push(format!("# {}", hazards::DEFER));
    lines
}
