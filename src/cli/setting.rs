//! `setting list`, `get`, `set`.

use clap::Subcommand;

use super::session::Session;
use crate::app;
use crate::error::Problem;
use crate::show::records;

#[derive(Debug, Subcommand)]
pub(super) enum SettingCommand {
    /// Lists every setting with its value.
    #[command(after_help = "Example: fistmele setting list")]
    List,
    /// Shows one setting with its history.
    #[command(after_help = "Example: fistmele setting get reading.sd")]
    Get {
        /// Its name.
        name: String,
    },
    /// Sets a value; "default" goes back to the default. What was decided before stays as it was.
    #[command(after_help = "Examples:
  fistmele setting set workshop.name \"The Long Bench\"
  fistmele setting set offset.marked.recurve 3-5/8
  fistmele setting set turn-constant.hmpe.16.2 \"0.00062 at 60\"
  fistmele setting set strength.linen 30 --why \"ten strands broken on the bench, the weakest at 34 lb\"")]
    Set {
        /// Its name.
        name: String,
        /// Its value.
        #[arg(allow_hyphen_values = true)]
        value: String,
        /// Why; needed where a strand is set stronger than its source says.
        #[arg(long, value_name = "TEXT")]
        why: Option<String>,
    },
}

impl SettingCommand {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let mut book = session.book()?;
        match self {
            Self::List => {
                let rules = app::rules(&mut book)?;
                let (views, unit) = (app::settings::list(&mut book)?, session.unit(&rules));
                session.answer("settings/1", &views, |page, _| {
                    records::setting_list(page, &views, unit, &rules.currency);
                })
            }
            Self::Get { name } => {
                let rules = app::rules(&mut book)?;
                let (view, unit) = (app::settings::get(&mut book, &name)?, session.unit(&rules));
                session.answer("setting/1", &view, |page, _| {
                    records::setting(page, &view, unit, &rules.currency)
                })
            }
            Self::Set { name, value, why } => {
                let view = app::settings::set(&mut book, &name, &value, why.as_deref(), &session.author()?)?;
                let rules = app::rules(&mut book)?;
                let unit = session.unit(&rules);
                session.answer("setting/1", &view, |page, _| {
                    records::setting(page, &view, unit, &rules.currency)
                })
            }
        }
    }
}
