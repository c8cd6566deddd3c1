//! The devices that were paired: their names, what they may do, and the digest of the secret that each holds.

use jiff::Timestamp;
use rusqlite::{OptionalExtension, Row, params};

use super::{Papers, instant, micros};

/// What a device may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Role {
    /// See everything, touch nothing.
    Look,
    /// Everything.
    Act,
}

impl Role {
    /// Its word for programs.
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Look => "look",
            Self::Act => "act",
        }
    }

    /// The role of a word.
    pub(crate) fn of(word: &str) -> Option<Self> {
        [Self::Look, Self::Act].into_iter().find(|role| role.word() == word)
    }
}

/// A device that was paired.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Device {
    /// Its name among programs.
    pub(crate) id: String,
    /// Its name among people.
    pub(crate) name: String,
    /// What it may do.
    pub(crate) role: Role,
    /// When it was paired.
    pub(crate) paired: Timestamp,
}

fn device(row: &Row<'_>) -> rusqlite::Result<Device> {
    let role: String = row.get(2)?;
    Ok(Device {
        id: row.get(0)?,
        name: row.get(1)?,
        // A word that a newer program wrote gives the least.
        role: Role::of(&role).unwrap_or(Role::Look),
        paired: instant(row.get(3)?)?,
    })
}

impl Papers {
    /// All devices, the oldest first.
    pub(crate) fn devices(&self) -> rusqlite::Result<Vec<Device>> {
        self.reading(|from| {
            from.prepare("SELECT id, name, role, paired_us FROM devices ORDER BY paired_us, id")?
                .query_map([], device)?
                .collect()
        })
    }

    /// The device that holds a secret of this digest.
    pub(crate) fn device_of(&self, secret: &[u8]) -> rusqlite::Result<Option<Device>> {
        self.reading(|from| {
            from.query_row(
                "SELECT id, name, role, paired_us FROM devices WHERE secret = ?1",
                [secret],
                device,
            )
            .optional()
        })
    }

    /// Pairs one.
    pub(crate) fn pair(&self, device: &Device, secret: &[u8]) -> rusqlite::Result<()> {
        self.writing(|to| {
            to.execute(
                "INSERT INTO devices (id, name, role, secret, paired_us) VALUES (?1, ?2, ?3, ?4, ?5)",
                params![device.id, device.name, device.role.word(), secret, micros(device.paired)],
            )
            .map(drop)
        })
    }

    /// Strikes one off; whether there was such a one.
    pub(crate) fn strike_off(&self, id: &str) -> rusqlite::Result<bool> {
        self.writing(|to| Ok(to.execute("DELETE FROM devices WHERE id = ?1", [id])? != 0))
    }
}
