//! `size`: before the sale.

use clap::Args;

use super::args;
use super::session::Session;
use crate::app;
use crate::app::size::SizeRequest;
use crate::error::Problem;
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::Yarn;
use crate::quantity::{Measure, parse_draw_weight};
use crate::show::before_sale;
use crate::trade::plausible::STRANDS;
use crate::trade::records::BowProfile;
use crate::trade::words::{LengthAt, Route, Stave, Tips};

#[derive(Debug, Args)]
#[command(after_help = "The length holds what the book has learned; the correction is shown apart.
Example: fistmele size --route marked --kind recurve --stated 62 --tips reinforced")]
pub(super) struct Size {
    /// How the length is arrived at.
    #[arg(long, value_name = "ROUTE", value_parser = args::sizing_route())]
    route: Route,
    /// Kind of bow; a longbow that bends in the grip answers more like a selfbow: take that.
    #[arg(long, visible_alias = "bow-kind", value_name = "KIND", value_parser = args::kind())]
    kind: BowKind,
    /// What the archer stated; by a mark or nock to nock --marked or --nock-to-nock will do.
    #[arg(long, value_name = "M")]
    stated: Option<String>,
    /// How an old string was measured.
    #[arg(long, value_name = "HOW", value_parser = args::length_at())]
    at: Option<LengthAt>,
    /// Yarn of the old string.
    #[arg(long, value_name = "YARN", value_parser = args::yarn())]
    old_yarn: Option<Yarn>,
    /// Marked (AMO) length of the bow.
    #[arg(long, value_name = "M")]
    marked: Option<String>,
    /// Nock to nock on the belly, unbraced.
    #[arg(long, value_name = "M")]
    nock_to_nock: Option<String>,
    /// Tips.
    #[arg(long, value_name = "TIPS", value_parser = args::tips())]
    tips: Option<Tips>,
    /// What the bow is made of.
    #[arg(long, value_name = "STAVE", value_parser = args::stave())]
    stave: Option<Stave>,
    /// Year the bow was made.
    #[arg(long, visible_alias = "bow-year", value_name = "YEAR")]
    year: Option<String>,
    /// Draw weight, such as 45#@28; with --yarn and --strands the strength is checked.
    #[arg(long, value_name = "LB")]
    weight: Option<String>,
    /// Yarn of the new string.
    #[arg(long, value_name = "YARN", value_parser = args::yarn())]
    yarn: Option<Yarn>,
    /// Strands of the new string.
    #[arg(long, value_name = "N")]
    strands: Option<String>,
}

impl Size {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        use chrono::Datelike;
        let today = session.today()?;
        let mut book = session.book()?;
        let rules = app::rules(&mut book)?;
        let (style, unit) = (session.style(&rules), session.unit(&rules));
        let year = args::entries([("year", self.year.as_deref())]).year("year", today.year())?;
        let measure = match self.route {
            Route::Marked | Route::NockToNock => Measure::BowLength,
            _ => Measure::StringLength,
        };
        let bow = BowProfile {
            kind: self.kind,
            marked_length: args::length(self.marked.as_deref(), unit, Measure::BowLength)?,
            nock_to_nock: args::length(self.nock_to_nock.as_deref(), unit, Measure::BowLength)?,
            draw_weight: self.weight.as_deref().map(parse_draw_weight).transpose()?,
            tips: self.tips.unwrap_or(Tips::Unknown),
            stave: self.stave.unwrap_or(Stave::Unknown),
            year,
            ..BowProfile::default()
        };
        let stated = args::length(self.stated.as_deref(), unit, measure)?;
        // What is stated on these routes is the bow's length too, unless another is given.
        let bow = match self.route {
            Route::Marked => BowProfile { marked_length: bow.marked_length.or(stated), ..bow },
            Route::NockToNock => BowProfile { nock_to_nock: bow.nock_to_nock.or(stated), ..bow },
            _ => bow,
        };
        let request = SizeRequest {
            route: self.route,
            stated,
            stated_at: self.at,
            old_yarn: self.old_yarn,
            bow,
            yarn: self.yarn.unwrap_or(Yarn::Unknown),
            strands: args::count(self.strands.as_deref(), "strands", STRANDS)?,
        };
        let view = app::size::size(&mut book, request, today)?;
        session.answer("size/1", &before_sale::size_json(&view), |page, _| {
            before_sale::size_text(page, &view, &style);
        })
    }
}
