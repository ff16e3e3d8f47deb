//! What can be said on the command line.

use clap::{Args, Parser, Subcommand, ValueEnum};
use std::net::{IpAddr, Ipv4Addr};
use std::path::PathBuf;

/// Ties football film to the field and judges throws under stated reading rules.
#[derive(Parser)]
#[command(version)]
pub struct Cli {
    /// Folder that holds ffmpeg and ffprobe; the search path when left out.
    #[arg(long, global = true, value_name = "FOLDER")]
    pub video_tool: Option<PathBuf>,
    /// Answer in JSON.
    #[arg(long, global = true)]
    pub json: bool,
    #[command(subcommand)]
    pub command: Command,
}

/// One use case each.
#[derive(Subcommand)]
pub enum Command {
    /// Make a study.
    New(New),
    /// Serve a study to a browser on this machine.
    Serve(Serve),
    /// Show what a study holds.
    Show(Study),
    /// Add a game.
    Game(Game),
    /// Bring films in: probe, fingerprint, index every frame, propose clips.
    Import(Import),
    /// List the films.
    Films(Study),
    /// List the clips.
    Clips(Study),
    /// Tie a game's clips into plays, both views of each.
    Pair(OfGame),
    /// Read a play list (CSV or XLSX) into a game's plays by order.
    PlayList(PlayList),
    /// Read plays out of a table of positions; shows how it would be read with --propose.
    Table(Table),
    /// List the plays.
    Plays(Study),
    /// Show everything the evaluator made of a play.
    Play(OfPlay),
    /// Enter hand sheets: clicks, moments, marks, chart and call of a play in one file each.
    Enter(Enter),
    /// Click a piece of paint.
    Click(Click),
    /// Solve the camera of a clicked frame.
    Solve(Solve),
    /// Carry the camera through clips by following the chalk.
    Follow(Follow),
    /// Find the field in every clip of a game without clicks, and settle all clips together.
    LineUpGame(LineUpGame),
    /// Confirm a clip's yard lines, or move them; the game is settled again.
    ReadField(ReadField),
    /// Show how well clips are lined up.
    LineUp(Clips),
    /// Find the people in the film of plays.
    Find(Plays),
    /// Show the people found in plays, and who they probably are.
    People(Plays),
    /// Where a pixel lies on the field.
    Ground(Pixel),
    /// Write a film's exact frame as PNG.
    Frame(Frame),
    /// Chart a play from JSON on standard input.
    Chart(OfPlay),
    /// Measure plays.
    Measure(Plays),
    /// Show what is recognised of plays from their tracks: coverage, routes, concept.
    Recognise(Recognise),
    /// Judge plays under their plans.
    Judge(Plays),
    /// Draw a figure of a play as SVG.
    Figure(Figure),
    /// Write a statement of the verdict from JSON on standard input.
    Claim(Claim),
    /// The concepts in force, or with --out those drawn in this study as a playbook file for others.
    Playbook(PlaybookOut),
    /// Keep a concept (JSON on standard input) over the playbook's own.
    Draw(Study),
    /// Take the drawing of a concept back.
    Undraw(Undraw),
    /// The ball that was thrown against the best to the same man.
    ThrowMade(OfPlay),
    /// List the statements of the verdict with their figures.
    Verdict(Study),
    /// Take measures over plays, with intervals.
    Measures(Study),
    /// Ask any fact or measure by any other, or the evaluator's ready questions.
    Patterns(Patterns),
    /// Show the plays whose picture is nearest to one's, in the order of time.
    Again(OfPlay),
    /// Show pictures that were shown more than once, and whether he did better the later times.
    Learned(Study),
    /// Take results apart: choice, timing, placement and the rest, with the official ratings beside them.
    Apart(Apart),
    /// Compare with another passer's study on the same measures; that study is only read.
    Passers(Passers),
    /// Print every fact and measure of every play.
    Facts(Study),
    /// Make a report of the study or a game.
    Report(Report),
    /// Join the clips of the statements into one film.
    Session(Session),
    /// List what the film leaves open, and what film would answer it; with --take, write the first of them into the verdict.
    OpenQuestions(OpenQuestions),
    /// List the statements that the figures carry by themselves; with --take, write them into the verdict.
    Drafts(Drafts),
    /// Pick earlier decisions to be called again without seeing the first call.
    BlindSet(BlindSet),
    /// Show how well second calls agree with the first.
    Consistency(Study),
    /// Compare with another evaluator's study of the same games, which is only read.
    Compare(Compare),
    /// Write the throws as a table with its data dictionary.
    Export(Export),
    /// Hold claimed chances of completion against what came, and fit the windows' parameters to the study's throws.
    Calibrate(Calibrate),
    /// List past edits.
    History(Study),
    /// Take back the last edit.
    Undo(Study),
    /// Bring back the edit undone last.
    Redo(Study),
    /// Print the description of the HTTP API.
    Openapi,
}

/// A study.
#[derive(Args)]
pub struct Study {
    /// The study's folder.
    pub study: PathBuf,
}

/// A new study.
#[derive(Args)]
pub struct New {
    /// Title.
    pub name: String,
    /// Folder to make; its name ends in .tape.
    pub study: PathBuf,
    /// The passer as you call him.
    #[arg(long, default_value = "")]
    pub passer: String,
    /// He throws with the left hand.
    #[arg(long)]
    pub left_handed: bool,
    /// Who judges.
    #[arg(long, default_value = "")]
    pub evaluator: String,
}

/// How to serve.
#[derive(Args)]
pub struct Serve {
    /// The study's folder.
    pub study: PathBuf,
    /// Port; one that is free when left out.
    #[arg(long, default_value_t = 0)]
    pub port: u16,
    /// Address to listen at; loopback only.
    #[arg(long, default_value_t = IpAddr::V4(Ipv4Addr::LOCALHOST))]
    pub address: IpAddr,
    /// Do not open the browser.
    #[arg(long)]
    pub no_open: bool,
}

/// A rule book.
#[derive(Clone, Copy, ValueEnum)]
pub enum Book {
    /// Professional.
    Professional,
    /// College.
    College,
    /// High school.
    HighSchool,
    /// Canadian.
    Canadian,
}

/// A new game.
#[derive(Args)]
pub struct Game {
    /// The study's folder.
    pub study: PathBuf,
    /// Title.
    pub name: String,
    /// Whose markings.
    #[arg(long, value_enum)]
    pub rule_book: Book,
    /// The passer's team.
    #[arg(long, default_value = "")]
    pub offense: String,
    /// The other.
    #[arg(long, default_value = "")]
    pub defense: String,
    /// Height of the field above the sea, m.
    #[arg(long, default_value_t = 0.0)]
    pub altitude: f64,
    /// Temperature, °C.
    #[arg(long, default_value_t = 15.0, allow_negative_numbers = true)]
    pub temperature: f64,
    /// Rise of the middle of the field over the sidelines, in.
    #[arg(long)]
    pub crown: Option<f64>,
}

/// Films to import.
#[derive(Args)]
pub struct Import {
    /// The study's folder.
    pub study: PathBuf,
    /// Films, or one folder of films.
    #[arg(required = true)]
    pub films: Vec<PathBuf>,
    /// The game they show; may be left out when there is one.
    #[arg(long)]
    pub game: Option<String>,
    /// Copy the files into the study; else they are read where they are.
    #[arg(long)]
    pub copy: bool,
}

/// A game of a study.
#[derive(Args)]
pub struct OfGame {
    /// The study's folder.
    pub study: PathBuf,
    /// The game; may be left out when there is one.
    #[arg(long)]
    pub game: Option<String>,
}

/// A table of positions.
#[derive(Args)]
pub struct Table {
    /// The study's folder.
    pub study: PathBuf,
    /// CSV, TSV or XLSX with a row for each person and instant.
    pub positions: PathBuf,
    /// The same with a row for each play.
    #[arg(long)]
    pub plays: Option<PathBuf>,
    /// The game; may be left out when there is one.
    #[arg(long)]
    pub game: Option<String>,
    /// How to read it, as --propose --json prints it; as proposed when left out.
    #[arg(long)]
    pub mapping: Option<PathBuf>,
    /// Only show how it would be read.
    #[arg(long)]
    pub propose: bool,
}

/// A play list.
#[derive(Args)]
pub struct PlayList {
    /// The study's folder.
    pub study: PathBuf,
    /// CSV or XLSX.
    pub file: PathBuf,
    /// The game; may be left out when there is one.
    #[arg(long)]
    pub game: Option<String>,
}

/// A game to line up.
#[derive(Args)]
pub struct LineUpGame {
    /// The study's folder.
    pub study: PathBuf,
    /// The game; may be left out when there is one.
    #[arg(long)]
    pub game: Option<String>,
    /// Clips that were lined up already, too; clicked ones stay.
    #[arg(long)]
    pub again: bool,
    /// Only show how the clips stand.
    #[arg(long)]
    pub show: bool,
}

/// A clip's yard lines.
#[derive(Args)]
pub struct ReadField {
    /// The study's folder.
    pub study: PathBuf,
    /// The clip.
    pub clip: String,
    /// Yards by which everything lies farther along the field, a multiple of 5; 0 confirms.
    #[arg(long, default_value_t = 0, allow_negative_numbers = true)]
    pub yards: i16,
    /// Seen from the other end.
    #[arg(long)]
    pub turned: bool,
}

/// A statement.
#[derive(Args)]
pub struct Claim {
    /// The study's folder.
    pub study: PathBuf,
    /// Take this many clips that show it, the most telling first, and half as many that go against it.
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub clips: usize,
}

/// Open questions.
#[derive(Args)]
pub struct OpenQuestions {
    /// The study's folder.
    pub study: PathBuf,
    /// Write this many, those that need the least film first, into the verdict.
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub take: usize,
}

/// Drafted statements.
#[derive(Args)]
pub struct Drafts {
    /// The study's folder.
    pub study: PathBuf,
    /// Write them into the verdict.
    #[arg(long)]
    pub take: bool,
}

/// A play of a study.
#[derive(Args)]
pub struct OfPlay {
    /// The study's folder.
    pub study: PathBuf,
    /// The play's id.
    pub play: String,
}

/// Some plays of a study.
#[derive(Args)]
pub struct Plays {
    /// The study's folder.
    pub study: PathBuf,
    /// Plays by id; all when left out.
    pub plays: Vec<String>,
}

/// What is recognised of plays.
#[derive(Args)]
pub struct Recognise {
    #[command(flatten)]
    pub of: Plays,
    /// Chart what is sure enough where nothing is charted, as one undoable edit.
    #[arg(long)]
    pub take: bool,
}

/// Some clips of a study.
#[derive(Args)]
pub struct Clips {
    /// The study's folder.
    pub study: PathBuf,
    /// Clips by id; all when left out.
    pub clips: Vec<String>,
}

/// Clips to follow.
#[derive(Args)]
pub struct Follow {
    /// The clips.
    #[command(flatten)]
    pub clips: Clips,
    /// Only those with clicks whose field is not held yet.
    #[arg(long)]
    pub waiting: bool,
}

/// Hand sheets.
#[derive(Args)]
pub struct Enter {
    /// The study's folder.
    pub study: PathBuf,
    /// Enter clicks on paint only in clips whose field is not held by itself.
    #[arg(long)]
    pub paint_where_needed: bool,
    /// Sheets (docs/hand-sheet.md).
    #[arg(required = true)]
    pub sheets: Vec<PathBuf>,
}

/// A click on paint.
#[derive(Args)]
pub struct Click {
    /// The study's folder.
    pub study: PathBuf,
    /// The clip.
    pub clip: String,
    /// Film frame.
    pub frame: u32,
    /// What was clicked, as JSON, for example '{"kind":"line-at-hash","x":35,"side":"near"}'.
    pub landmark: String,
    /// Across, px.
    pub x: f64,
    /// Down, px.
    pub y: f64,
    /// Keep the click where it is; else it moves to the middle of the paint.
    #[arg(long)]
    pub no_snap: bool,
}

/// A clicked frame.
#[derive(Args)]
pub struct Solve {
    /// The study's folder.
    pub study: PathBuf,
    /// The clip.
    pub clip: String,
    /// Film frame.
    pub frame: u32,
}

/// A pixel.
#[derive(Args)]
pub struct Pixel {
    /// The study's folder.
    pub study: PathBuf,
    /// The clip.
    pub clip: String,
    /// Film frame.
    pub frame: u32,
    /// Across, px.
    pub x: f64,
    /// Down, px.
    pub y: f64,
}

/// A frame of a film.
#[derive(Args)]
pub struct Frame {
    /// The study's folder.
    pub study: PathBuf,
    /// The film.
    pub film: String,
    /// Frame, from 0.
    pub index: usize,
    /// PNG to write.
    #[arg(long)]
    pub out: PathBuf,
}

/// A figure of a play.
#[derive(Clone, Copy, ValueEnum)]
pub enum FigureKind {
    /// From above.
    Diagram,
    /// Windows by receiver and release time.
    Windows,
    /// The passer's feet.
    Feet,
    /// Where the ball arrived for its receiver.
    Placement,
}

/// The playbook.
#[derive(Args)]
pub struct PlaybookOut {
    /// The study's folder.
    pub study: PathBuf,
    /// TOML to write what is drawn in this study to.
    #[arg(long)]
    pub out: Option<PathBuf>,
}

/// A drawing to take back.
#[derive(Args)]
pub struct Undraw {
    /// The study's folder.
    pub study: PathBuf,
    /// The concept's id.
    pub concept: String,
}

/// A figure to draw.
#[derive(Args)]
pub struct Figure {
    /// The study's folder.
    pub study: PathBuf,
    /// The play.
    pub play: String,
    /// Which figure.
    #[arg(value_enum)]
    pub kind: FigureKind,
    /// SVG to write.
    #[arg(long)]
    pub out: PathBuf,
    /// Instant, s from the snap; the release when left out.
    #[arg(long, allow_negative_numbers = true)]
    pub at: Option<f64>,
    /// On the diagram: the receiver whose best ball is drawn with the race to it.
    #[arg(long, requires = "release")]
    pub race: Option<String>,
    /// Release of that ball, s from the snap.
    #[arg(long, requires = "race")]
    pub release: Option<f64>,
}

/// Questions across plays.
#[derive(Args)]
pub struct Patterns {
    /// The study's folder.
    pub study: PathBuf,
    /// Fact or measure that is asked for; the ready questions when left out.
    #[arg(long, value_name = "FIELD")]
    pub of: Option<String>,
    /// Fact or measure that the plays are split by.
    #[arg(long, value_name = "FIELD", requires = "of")]
    pub by: Option<String>,
    /// Facts or measures held against it at once, each while the others are held even; given two to six times.
    #[arg(long, value_name = "FIELD", requires = "of", conflicts_with = "by")]
    pub with: Vec<String>,
    /// Of a fact of many words: whose share is taken.
    #[arg(long, requires = "of")]
    pub word: Option<String>,
    /// Only plays whose fact has that word, for example down=3rd; may be given more than once.
    #[arg(long, value_name = "FIELD=WORD", requires = "of")]
    pub only: Vec<String>,
    /// Only this game; may be given more than once.
    #[arg(long)]
    pub game: Vec<String>,
    /// List the facts and measures that can be asked for.
    #[arg(long)]
    pub fields: bool,
}

/// Results to take apart.
#[derive(Args)]
pub struct Apart {
    /// The study's folder.
    pub study: PathBuf,
    /// Fact that the plays are split by.
    #[arg(long, value_name = "FIELD", default_value = "depth")]
    pub by: String,
    /// Only this game; may be given more than once.
    #[arg(long)]
    pub game: Vec<String>,
}

/// Two passers' studies.
#[derive(Args)]
pub struct Passers {
    /// The study's folder.
    pub study: PathBuf,
    /// The other passer's.
    pub other: PathBuf,
    /// Only plays whose fact has that word, of both; may be given more than once.
    #[arg(long, value_name = "FIELD=WORD")]
    pub only: Vec<String>,
}

/// A report to make.
#[derive(Args)]
pub struct Report {
    /// The study's folder.
    pub study: PathBuf,
    /// The game; the whole study when left out.
    #[arg(long)]
    pub game: Option<String>,
    /// How much of it.
    #[arg(long, value_enum, default_value_t = Extent::Full)]
    pub extent: Extent,
    /// With the film of every cited play inside (.html only).
    #[arg(long)]
    pub film: bool,
    /// File to write; its ending, .pdf or .html, is the form.
    #[arg(long)]
    pub out: PathBuf,
}

/// How much of a report is made.
#[derive(Clone, Copy, ValueEnum)]
pub enum Extent {
    /// One page: the statements and the cautions.
    OnePage,
    /// Statements, measures, and every play.
    Full,
    /// A page for each statement, to be shown to people.
    Presentation,
}

/// A film session to make.
#[derive(Args)]
pub struct Session {
    /// The study's folder.
    pub study: PathBuf,
    /// Statements by id; all when left out.
    pub claims: Vec<String>,
    /// How long the picture stays on each release, s.
    #[arg(long, default_value_t = 0.0)]
    pub pause: f64,
    /// MP4 to write.
    #[arg(long)]
    pub out: PathBuf,
}

/// Decisions to call again.
#[derive(Args)]
pub struct BlindSet {
    /// The study's folder.
    pub study: PathBuf,
    /// How many.
    #[arg(long, default_value_t = 12)]
    pub decisions: u32,
    /// Seed of the pick; the number of the set when left out.
    #[arg(long)]
    pub seed: Option<u64>,
}

/// Two studies.
#[derive(Args)]
pub struct Compare {
    /// The study's folder.
    pub study: PathBuf,
    /// The other evaluator's.
    pub other: PathBuf,
}

/// Form of a table.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ExportForm {
    /// A workbook with sheets for throws, data dictionary and settings.
    Xlsx,
    /// Text; the data dictionary goes into a second file beside it.
    Csv,
    /// Throws, dictionary and settings.
    Json,
    /// Columns; only where the program was built with it.
    Parquet,
}

/// A table to write.
#[derive(Args)]
pub struct Export {
    /// The study's folder.
    pub study: PathBuf,
    /// Its form.
    #[arg(long, value_enum)]
    pub format: ExportForm,
    /// File to write.
    #[arg(long)]
    pub out: PathBuf,
}

/// Claims against outcomes.
#[derive(Args)]
pub struct Calibrate {
    /// The study's folder.
    pub study: PathBuf,
    /// File for the reliability diagram (SVG).
    #[arg(long)]
    pub out: Option<PathBuf>,
    /// Whether windows are to be computed with the fitted parameters from now on; as it was when left out.
    #[arg(long, value_enum)]
    pub parameters: Option<FitUse>,
}

/// Which parameters windows are computed with.
#[derive(Clone, Copy, ValueEnum)]
pub enum FitUse {
    /// Those that the program comes with.
    Ours,
    /// Those fitted to the study's throws.
    Fitted,
}
