//! A plain walk over one record: whether a query holds, does not, or is undecided. It shares no code with the index.

use dimity::dating::Interval;
use dimity::measure::{Bound, Estimate, Quantity};
use dimity::query::{Bounds, Clause, Field, Test, Thing, Tree};
use dimity::record::PieceFile;
use dimity::record::textile::Textile;
use dimity::vocabulary::TermId;

/// `None` is undecided: nothing of the kind is recorded.
pub fn holds(file: &PieceFile, tree: &Tree) -> Option<bool> {
    match tree {
        Tree::Not(inner) => holds(file, inner).map(|b| !b),
        Tree::And(parts) => {
            let told: Vec<Option<bool>> = parts.iter().map(|p| holds(file, p)).collect();
            if told.contains(&Some(false)) { Some(false) } else { (!told.contains(&None)).then_some(true) }
        }
        Tree::Or(parts) => {
            let told: Vec<Option<bool>> = parts.iter().map(|p| holds(file, p)).collect();
            if told.contains(&Some(true)) { Some(true) } else { (!told.contains(&None)).then_some(false) }
        }
        Tree::Kept { means, .. } => Option::as_ref(means).map_or(Some(true), |t| holds(file, t)),
        Tree::Words { text, whole } => Some(said(&words(file), text, *whole)),
        Tree::Clause(clause) => one(file, clause),
    }
}

/// Whether one of the texts holds the words in this order, the last one perhaps cut short.
fn said(texts: &[String], sought: &str, whole: bool) -> bool {
    let split = |t: &str| -> Vec<String> {
        t.split(|c: char| !c.is_alphanumeric())
            .filter(|w| !w.is_empty())
            .map(|w| w.to_lowercase().replace('é', "e"))
            .collect()
    };
    let sought = split(sought);
    texts.iter().any(|text| {
        split(text).windows(sought.len()).any(|run| {
            run.iter().zip(&sought).enumerate().all(|(i, (word, want))| {
                word == want || (!whole && i + 1 == sought.len() && word.starts_with(want.as_str()))
            })
        })
    })
}

/// The words that the sheets of this test can hold.
fn words(file: &PieceFile) -> Vec<String> {
    let mut texts: Vec<String> = Vec::new();
    let p = &file.piece;
    texts.extend([&p.number, &p.object_name, &p.maker, &p.description].into_iter().flatten().cloned());
    texts.extend(p.nature.iter().chain(&p.garment).chain(&p.rights_statement).map(|t| t.name().to_owned()));
    texts.extend(p.date.iter().map(|d| d.as_written.clone()));
    texts.extend(file.moves.iter().filter_map(|m| m.to.clone()));
    texts.extend(file.components.iter().filter_map(|c| c.name.clone()));
    for c in &file.components {
        texts.extend(c.side.clone());
        texts.extend(c.term.as_ref().map(|t| t.name().to_owned()));
    }
    for e in &file.examinations {
        texts.extend(e.about.examiner.clone());
        for t in &e.textiles {
            texts.extend(terms_of(&t.what));
            texts.extend(t.what.colour.clone());
            texts.extend(known(t.evidence.as_ref(), t.certainty.as_ref()));
        }
        for m in &e.measurements {
            texts.extend(m.what.dimension.as_ref().map(|t| t.name().to_owned()));
            texts.extend(known(m.evidence.as_ref(), m.certainty.as_ref()));
        }
        for s in &e.stitching {
            texts.extend(s.what.purpose.iter().chain(&s.what.stitch).map(|t| t.name().to_owned()));
            texts.extend(known(s.evidence.as_ref(), s.certainty.as_ref()));
        }
        for c in &e.conditions {
            texts.extend(c.what.damage.iter().chain(&c.what.activity).map(|t| t.name().to_owned()));
            texts.extend(c.component.clone());
            texts.extend(known(c.evidence.as_ref(), c.certainty.as_ref()));
        }
        for o in &e.overall {
            texts.extend(o.what.grade.iter().map(|t| t.name().to_owned()));
            texts.extend(known(o.evidence.as_ref(), o.certainty.as_ref()));
        }
    }
    texts
}

fn known(evidence: Option<&TermId>, certainty: Option<&TermId>) -> Vec<String> {
    evidence.into_iter().chain(certainty).map(|t| t.name().to_owned()).collect()
}

fn terms_of(t: &Textile) -> Vec<String> {
    let fibres = t.fibres.iter().filter_map(|f| f.fibre.as_ref());
    t.role.iter().chain(&t.structure).chain(fibres).map(|t| t.name().to_owned()).collect()
}

/// The terms recorded of a list.
fn recorded(file: &PieceFile, list: &str) -> Vec<TermId> {
    let exams = || file.examinations.iter();
    let cloths = || exams().flat_map(|e| &e.textiles).map(|t| &t.what);
    let seams = || exams().flat_map(|e| &e.stitching).map(|s| &s.what);
    let damages = || exams().flat_map(|e| &e.conditions).map(|c| &c.what);
    match list {
        "nature" => file.piece.nature.iter().cloned().collect(),
        "garment" => file.piece.garment.iter().cloned().collect(),
        "rights" => file.piece.rights_statement.iter().cloned().collect(),
        "component" => file.components.iter().filter_map(|c| c.term.clone()).collect(),
        "fibre" => cloths().flat_map(|t| &t.fibres).filter_map(|f| f.fibre.clone()).collect(),
        "weave" => cloths().filter_map(|t| t.structure.clone()).collect(),
        "textile_role" => cloths().filter_map(|t| t.role.clone()).collect(),
        "stitch" => seams().filter_map(|s| s.stitch.clone()).collect(),
        "purpose" => seams().filter_map(|s| s.purpose.clone()).collect(),
        "damage" => damages().filter_map(|c| c.damage.clone()).collect(),
        "activity" => damages().filter_map(|c| c.activity.clone()).collect(),
        "grade" => {
            exams().flat_map(|e| &e.overall).filter_map(|o| o.what.grade.clone()).next_back().into_iter().collect()
        }
        other => panic!("the walk knows no list `{other}`"),
    }
}

/// The figures recorded under a key: estimate and readings.
fn figures(file: &PieceFile, key: &str) -> Vec<(Estimate, Vec<Quantity>)> {
    let exams = || file.examinations.iter();
    let cloths = || exams().flat_map(|e| &e.textiles).map(|t| &t.what);
    let all: Vec<(Option<Estimate>, Vec<Quantity>)> = match key {
        "ends" => cloths().map(|t| (t.ends_estimate(), t.ends.clone())).collect(),
        "sett" => cloths()
            .flat_map(|t| [(t.ends_estimate(), t.ends.clone()), (t.picks_estimate(), t.picks.clone())])
            .collect(),
        "stitches" => exams().flat_map(|e| &e.stitching).map(|s| (s.what.estimate(), s.what.density.clone())).collect(),
        dimension => exams()
            .flat_map(|e| &e.measurements)
            .filter(|m| m.what.dimension.as_ref().is_some_and(|d| d.name() == dimension))
            .map(|m| (m.what.estimate(), m.what.readings.clone()))
            .collect(),
    };
    all.into_iter().filter_map(|(e, q)| Some((e?, q))).collect()
}

fn within(e: &Estimate, readings: &[Quantity], bounds: &Bounds) -> bool {
    let any = |bound| readings.iter().any(|q| q.bound == bound);
    let (up, down) = (any(Bound::AtLeast), any(Bound::AtMost));
    if bounds.surely {
        return (!down || bounds.low == f64::NEG_INFINITY)
            && (!up || bounds.high == f64::INFINITY)
            && (down || e.value - 2.0 * e.u >= bounds.low)
            && (up || e.value + 2.0 * e.u <= bounds.high);
    }
    (up || e.value >= bounds.low) && (down || e.value <= bounds.high)
}

fn some(list: bool, met: bool) -> Option<bool> {
    list.then_some(met)
}

fn one(file: &PieceFile, clause: &Clause) -> Option<bool> {
    match &clause.test {
        Test::Terms(terms) => {
            let mut lists: Vec<&str> = terms.iter().map(|t| t.scheme().key()).collect();
            lists.dedup();
            let all: Vec<TermId> = lists.iter().flat_map(|l| recorded(file, l)).collect();
            some(!all.is_empty(), all.iter().any(|t| terms.contains(t)))
        }
        Test::Sided(side, terms) => {
            let parts = || file.components.iter().filter(|c| c.term.is_some());
            let met = |c: &&dimity::record::piece::Component| {
                c.side.as_deref() == Some(side) && c.term.as_ref().is_some_and(|t| terms.contains(t))
            };
            some(parts().next().is_some(), parts().find(met).is_some())
        }
        Test::Text { words, whole } => {
            let texts = texts(file, clause.field.name());
            let met = if *whole {
                texts.iter().any(|t| t.to_lowercase() == words.to_lowercase())
            } else {
                said(&texts, words, true)
            };
            some(!texts.is_empty(), met)
        }
        Test::Choice(_) => panic!("the walk knows no choice"),
        Test::Figure(bounds) => {
            let all = figures(file, clause.field.name());
            some(!all.is_empty(), all.iter().any(|(e, q)| within(e, q, bounds)))
        }
        Test::Years { years, within } => {
            let date = file.piece.date.as_ref().map_or(Interval::new(None, None), dimity::dating::Dated::interval);
            let low = |a: Option<i32>, limit: Option<i32>| limit.is_none_or(|l| a.is_some_and(|a| a >= l));
            let high = |b: Option<i32>, limit: Option<i32>| limit.is_none_or(|l| b.is_some_and(|b| b <= l));
            let inside = low(date.earliest, years.earliest) && high(date.latest, years.latest);
            some(!date.is_undated(), if *within { inside } else { date.overlaps(*years) })
        }
        Test::Days(days) => {
            let all: Vec<_> = file.examinations.iter().filter_map(|e| e.about.date).collect();
            some(!all.is_empty(), all.iter().any(|d| days.hold(*d)))
        }
        Test::Number { number, beginning } => {
            let own = file.number().to_ascii_lowercase();
            Some(if *beginning { own.starts_with(number.as_str()) } else { own == *number })
        }
        Test::Has(thing) => Some(has(file, thing)),
        Test::Lacks(thing) => Some(!has(file, thing)),
    }
}

fn texts(file: &PieceFile, key: &str) -> Vec<String> {
    match key {
        "object" => file.piece.object_name.iter().cloned().collect(),
        "maker" => file.piece.maker.iter().cloned().collect(),
        "location" => file.moves.last().and_then(|m| m.to.clone()).into_iter().collect(),
        "colour" => file.examinations.iter().flat_map(|e| &e.textiles).filter_map(|t| t.what.colour.clone()).collect(),
        other => panic!("the walk knows no text `{other}`"),
    }
}

fn has(file: &PieceFile, thing: &Thing) -> bool {
    let exams = || file.examinations.iter();
    match thing {
        Thing::Listed("examination") => exams().next().is_some(),
        Thing::Listed("measurement") => exams().any(|e| !e.measurements.is_empty()),
        Thing::Listed("condition") => exams().any(|e| !e.conditions.is_empty()),
        Thing::Listed("stitching") => exams().any(|e| !e.stitching.is_empty()),
        Thing::Listed("photograph" | "seal" | "treatment" | "hazard") => false,
        Thing::Listed(other) => panic!("the walk knows no thing `{other}`"),
        Thing::Of(Field::Dimension(term)) => !figures(file, term.name()).is_empty(),
        Thing::Of(Field::Key(key)) => match key.name {
            "fibre" | "garment" | "stitch" | "damage" | "grade" | "rights" => !recorded(file, key.name).is_empty(),
            "sett" | "stitches" => !figures(file, key.name).is_empty(),
            "date" => file.piece.date.as_ref().is_some_and(|d| !d.interval().is_undated()),
            name => !texts(file, name).is_empty(),
        },
    }
}
