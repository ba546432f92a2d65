//! `meet`: setting up the server through which terminals exchange their batches, and joining it.

use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};

use super::exchange::ExchangeChoice;
use super::meet_file::{MeetFile, of_terminal, server};
use super::pin::asked;
use super::{Ending, Failure};
use crate::journal::{Home, station_spelled};
use crate::meet::{self, BatchAct, MemberRole, NewMember, Password, Server};
use crate::prose::{Message, counted, visible};

/// Exchange batches between terminals through a PostgreSQL server
///
/// Every terminal writes to its own folder first. In the background it sends what it
/// wrote and fetches what the others wrote. While the server is away work goes on, and
/// everything arrives once it is back.
///
/// The owner of the database runs init once, then add for each terminal: each has a login
/// of its own, which is one station of one shop. A station adds lines of its own; a lead
/// also begins, seals, archives and takes in batches; a reader reads. At each terminal
/// join keeps the address beside the batches; --meet names it for one start.
///
/// An address is postgres://LOGIN@SERVER/DATABASE. A password never stands in it: it
/// comes from BENCHWAY_MEET_PASSWORD or from a file that nobody else may read. Unless
/// the server is on this machine the connection uses TLS.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  benchway meet init postgres://owner@server/wood
  benchway meet add postgres://owner@server/wood planer --shop north --station planer
  benchway meet join postgres://planer@server/wood")]
pub(super) struct MeetArguments {
    #[command(subcommand)]
    act: MeetAct,
}

#[derive(Debug, Subcommand)]
enum MeetAct {
    /// Make the tables of a database, or bring them up to date
    Init(DatabaseArguments),
    /// Add a login: a station, a lead or a reader of a shop
    Add(AddArguments),
    /// Take a login away; what it sent stays
    Revoke(RevokeArguments),
    /// List the logins
    Members(DatabaseArguments),
    /// Keep the server of this terminal beside its batches
    Join(DatabaseArguments),
    /// List the batches on the server, and those that wait for a lead
    Batches,
    /// Take in a batch that a station began without the server
    TakeIn(ActArguments),
    /// Archive a batch at every terminal
    Archive(ActArguments),
    /// Bring an archived batch back at every terminal
    BringBack(ActArguments),
}

/// A database, and how to get in.
#[derive(Debug, Args)]
struct DatabaseArguments {
    /// Address of the database: postgres://LOGIN@SERVER/DATABASE
    #[arg(value_name = "ADDRESS")]
    address: String,

    /// File with the password, which nobody else may read
    #[arg(long, value_name = "FILE")]
    password_file: Option<PathBuf>,

    /// Certificates to trust beside those the system trusts
    #[arg(long, value_name = "FILE")]
    certificates: Option<PathBuf>,
}

#[derive(Debug, Args)]
struct AddArguments {
    #[command(flatten)]
    owner: DatabaseArguments,

    /// The login; its password is asked for
    #[arg(value_name = "LOGIN")]
    login: String,

    /// Its shop
    #[arg(long, value_name = "NAME")]
    shop: String,

    /// Its station, each its own
    #[arg(long, value_name = "NAME", required_unless_present = "reader")]
    station: Option<String>,

    /// It is the terminal of a lead
    #[arg(long)]
    lead: bool,

    /// It only reads; it may be added to several shops
    #[arg(long, conflicts_with_all = ["station", "lead"])]
    reader: bool,

    /// Leave the password as it is
    #[arg(long)]
    keep_password: bool,
}

#[derive(Debug, Args)]
struct RevokeArguments {
    #[command(flatten)]
    owner: DatabaseArguments,

    /// The login
    #[arg(value_name = "LOGIN")]
    login: String,

    /// Only from this shop
    #[arg(long, value_name = "NAME")]
    shop: Option<String>,
}

#[derive(Debug, Args)]
struct ActArguments {
    /// The batch
    #[arg(value_name = "BATCH")]
    batch: String,

    /// The station that began it, where several have the name
    #[arg(long, value_name = "NAME")]
    begun_by: Option<String>,
}

impl DatabaseArguments {
    fn server(&self) -> Result<Server, Failure> {
        server(&self.address, self.certificates.as_deref(), self.password_file.as_deref())
    }
}

impl MeetArguments {
    pub(super) fn run(
        &self,
        exchange: &ExchangeChoice,
        out: &mut dyn Write,
    ) -> Result<Ending, Failure> {
        let (home, address) = exchange.parts();
        match &self.act {
            MeetAct::Init(owner) => match meet::set_up(&owner.server()?)? {
                0 => writeln!(out, "The database is up to date.")?,
                made => writeln!(out, "The database is set up: {}.", counted(made, "change"))?,
            },
            MeetAct::Add(added) => add(added, out)?,
            MeetAct::Revoke(revoked) => {
                meet::revoke(&revoked.owner.server()?, &revoked.login, revoked.shop.as_deref())?;
                writeln!(out, "{} is no member any more.", visible(&revoked.login))?;
            }
            MeetAct::Members(owner) => members(&owner.server()?, out)?,
            MeetAct::Join(join) => joined(join, home, out)?,
            MeetAct::Batches => return batches(&terminal(home, address)?, out),
            MeetAct::TakeIn(act) => {
                done(act, BatchAct::TakenIn, &terminal(home, address)?)?;
                writeln!(out, "{} is taken in.", visible(&act.batch))?;
            }
            MeetAct::Archive(act) => {
                done(act, BatchAct::Archived, &terminal(home, address)?)?;
                writeln!(out, "{} is archived.", visible(&act.batch))?;
            }
            MeetAct::BringBack(act) => {
                done(act, BatchAct::BroughtBack, &terminal(home, address)?)?;
                writeln!(out, "{} is back.", visible(&act.batch))?;
            }
        }
        Ok(Ending::Fine)
    }
}

/// The server of this terminal.
fn terminal(home: Option<&Path>, address: Option<&str>) -> Result<Server, Failure> {
    let home = Home::locate(home.map(Path::to_owned))?;
    let Some((server, _)) = of_terminal(&home, address)? else {
        let why = Message::error("this terminal knows no server");
        let why = why.help("benchway meet join postgres://LOGIN@SERVER/DATABASE");
        return Err(Failure::Exchange(why));
    };
    Ok(server)
}

fn done(arguments: &ActArguments, act: BatchAct, server: &Server) -> Result<(), Failure> {
    Ok(meet::act(server, &arguments.batch, arguments.begun_by.as_deref(), act)?)
}

fn add(added: &AddArguments, out: &mut dyn Write) -> Result<(), Failure> {
    let role = match (added.reader, added.lead) {
        (true, _) => MemberRole::Reader,
        (false, true) => MemberRole::Lead,
        (false, false) => MemberRole::Station,
    };
    let station = added.station.as_deref().map(station_spelled).transpose()?;
    let password = match added.keep_password {
        true => None,
        false => Some(Password::typed(&new_password(&added.login)?)),
    };
    let shop = added.shop.trim().to_owned();
    let new = NewMember { login: added.login.clone(), shop, station, role, password };
    meet::add(&added.owner.server()?, &new)?;
    let what = match &new.station {
        Some(station) => format!("the station {station}"),
        None => "a reader".to_owned(),
    };
    writeln!(out, "{} is {} of {}.", visible(&new.login), visible(&what), visible(&new.shop))?;
    Ok(())
}

/// The password of a new login: typed twice and not shown or, where the input is no
/// terminal, its next line.
fn new_password(login: &str) -> Result<String, Failure> {
    let password = asked(&format!("Password of {}: ", visible(login)))?;
    if password.is_empty() {
        return Err(Failure::Exchange(Message::error("no password was typed")));
    }
    if io::stdin().is_terminal() && asked("Again: ")? != password {
        let why = Message::error("the two are not the same").help("nothing was changed; try again");
        return Err(Failure::Exchange(why));
    }
    Ok(password)
}

fn members(server: &Server, out: &mut dyn Write) -> Result<(), Failure> {
    for member in meet::members(server)? {
        let identity = &member.identity;
        let station = identity.station.as_deref().unwrap_or("-");
        let revoked = if member.is_revoked { "  revoked" } else { "" };
        let role = identity.role.word();
        let line = format!("{}  {station}  {role}  {}{revoked}", identity.shop, member.login);
        writeln!(out, "{}", visible(&line))?;
    }
    Ok(())
}

/// Tries the server, then keeps it beside the batches.
fn joined(
    terminal: &DatabaseArguments,
    home: Option<&Path>,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let home = Home::locate(home.map(Path::to_owned))?;
    let is_given =
        terminal.password_file.is_some() || std::env::var_os("BENCHWAY_MEET_PASSWORD").is_some();
    let certificates = terminal.certificates.as_deref();
    // It is found again from wherever the program is started next.
    let absolute = |path: &PathBuf| {
        std::path::absolute(path).map_err(|why| Failure::Unreadable { path: path.clone(), why })
    };
    let (tried, typed) = if is_given {
        (terminal.server()?, None)
    } else {
        let server = Server::at(&terminal.address, certificates)?;
        let typed = asked(&format!("Password of {}: ", visible(server.login())))?;
        (server.with_password(&Password::typed(&typed)), Some(typed))
    };
    let station = meet::own_station(&tried)?;
    let file = MeetFile {
        server: terminal.address.clone(),
        station: station.clone(),
        certificates: terminal.certificates.as_ref().map(absolute).transpose()?,
        password_file: terminal.password_file.as_ref().map(absolute).transpose()?,
    };
    file.write(&home, typed.as_deref())?;
    let who = station.map_or("a reader".to_owned(), |station| format!("the station {station}"));
    writeln!(out, "This terminal is {} now. Begin with:  benchway", visible(&who))?;
    if typed.is_none() && file.password_file.is_none() {
        writeln!(out, "Its password is not kept: leave it in BENCHWAY_MEET_PASSWORD.")?;
    }
    Ok(())
}

fn batches(server: &Server, out: &mut dyn Write) -> Result<Ending, Failure> {
    let mut waits = false;
    for (shop, batch) in meet::batches(server)? {
        waits |= batch.waits;
        let standing = match (batch.waits, batch.is_archived) {
            (true, _) => "  waits for a lead to take it in",
            (false, true) => "  archived",
            (false, false) => "",
        };
        let line = format!("{shop}  {}  begun by {}{standing}", batch.name, batch.begun_by);
        writeln!(out, "{}", visible(&line))?;
    }
    Ok(Ending::found(waits))
}
