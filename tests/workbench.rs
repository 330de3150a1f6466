//! The workbench without a browser: each page and each writing request asked through the router itself.

#[path = "workbench/accounts.rs"]
mod accounts;
#[path = "workbench/bench.rs"]
mod bench;
#[path = "workbench/by_number.rs"]
mod by_number;
#[path = "workbench/comparing.rs"]
mod comparing;
#[path = "workbench/corrections.rs"]
mod corrections;
#[path = "workbench/drawing.rs"]
mod drawing;
#[path = "workbench/ending.rs"]
mod ending;
#[path = "workbench/entrances.rs"]
mod entrances;
#[path = "workbench/everything.rs"]
mod everything;
#[path = "workbench/exports.rs"]
mod exports;
#[path = "workbench/forms.rs"]
mod forms;
#[path = "workbench/hostile.rs"]
mod hostile;
#[path = "workbench/importing.rs"]
mod importing;
#[path = "workbench/keeping.rs"]
mod keeping;
#[path = "workbench/listening.rs"]
mod listening;
#[path = "workbench/lists.rs"]
mod lists;
#[path = "workbench/made_again.rs"]
mod made_again;
#[path = "workbench/pages.rs"]
mod pages;
#[path = "workbench/patterns.rs"]
mod patterns;
#[path = "workbench/photograph_said.rs"]
mod photograph_said;
#[path = "workbench/readings.rs"]
mod readings;
#[path = "workbench/reckoning.rs"]
mod reckoning;
#[path = "workbench/restarted.rs"]
mod restarted;
#[path = "workbench/safekeeping.rs"]
mod safekeeping;
#[path = "workbench/settings.rs"]
mod settings;
#[path = "workbench/sheets_in.rs"]
mod sheets_in;
#[path = "workbench/studies.rs"]
mod studies;
mod support;
#[path = "workbench/ticked.rs"]
mod ticked;
#[path = "workbench/works.rs"]
mod works;
