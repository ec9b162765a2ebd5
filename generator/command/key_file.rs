//! A signer's key file and its passphrase: what `key`, `signoff` and `slip` share.

use crate::marking::Marking;
use crate::proof::{SecretKey, check_passphrase};
use crate::register::{NotEntered, data_folder, signing_key};
use std::io::{IsTerminal, Write, stdin};
use std::path::{Path, PathBuf};

/// Where the key is, and where its passphrase comes from: never from the command line, which other programs can read.
#[derive(Debug, clap::Args)]
pub struct KeyFile {
    /// The key file. Without it: keys/CODE.pem in the user's data folder.
    #[arg(long, value_name = "FILE")]
    key: Option<PathBuf>,
    /// A file that holds the passphrase and nothing else. Without it the passphrase is asked for.
    #[arg(long, value_name = "FILE")]
    passphrase_file: Option<PathBuf>,
}

impl KeyFile {
    /// The key file of this person.
    ///
    /// # Errors
    /// In words, if nothing says where it is.
    pub fn place(&self, code: &str) -> Result<PathBuf, String> {
        if let Some(file) = &self.key {
            return Ok(file.clone());
        }
        let folder = data_folder(|name| std::env::var_os(name))
            .ok_or("this system names no folder for the user's data: name the key file with --key")?;
        Ok(folder.join("keys").join(format!("{code}.pem")))
    }

    /// Opens the key of this person with its passphrase.
    ///
    /// # Errors
    /// In words.
    pub fn unlock(&self, code: &str) -> Result<SecretKey, String> {
        let place = self.place(code)?;
        let pem = std::fs::read_to_string(&place).map_err(|why| {
            format!(
                "the key file {} cannot be read: {why}; `pitwright key {code}` makes one, --key names another",
                place.display()
            )
        })?;
        let passphrase = match &self.passphrase_file {
            Some(file) => from_file(file)?,
            None => ask(&format!("Passphrase of the key of {code}: "))?,
        };
        SecretKey::unlock(&pem, &passphrase).map_err(|why| format!("{}: {why}", place.display()))
    }

    /// Opens the key of this person, which must be the one that the course names for them.
    ///
    /// # Errors
    /// In words.
    pub fn unlock_named(&self, code: &str, course: &Marking) -> Result<SecretKey, String> {
        match signing_key(code, None, course) {
            Err(NotEntered::KeyNeeded { .. }) => {
                let key = self.unlock(code)?;
                signing_key(code, Some(&key), course).map_err(|why| why.to_string())?;
                Ok(key)
            }
            Err(why) => Err(why.to_string()),
            Ok(_) => Err(format!("the key of {code} is needed")),
        }
    }

    /// Makes a new key for this person and locks it with a passphrase that is asked for twice.
    ///
    /// # Errors
    /// In words; then no file was written, and one that was there is as it was.
    pub fn make(&self, code: &str) -> Result<(SecretKey, PathBuf), String> {
        let place = self.place(code)?;
        let taken = || {
            format!(
                "{} is there already and stays as it is: a key that has signed must not be lost. --show prints its public key, --key names another file",
                place.display()
            )
        };
        if place.exists() {
            return Err(taken());
        }
        let passphrase = match &self.passphrase_file {
            Some(file) => from_file(file)?,
            None => ask(&format!("A new passphrase for the key of {code}: "))?,
        };
        check_passphrase(&passphrase).map_err(|why| why.to_string())?;
        if self.passphrase_file.is_none() && ask("The same again: ")? != passphrase {
            return Err("the two were not the same; nothing was written".to_owned());
        }
        let key = SecretKey::random().map_err(|why| format!("the system gives no random bytes: {why}"))?;
        let pem = key.lock(&passphrase)?;
        match write(&place, &pem) {
            Ok(()) => Ok((key, place)),
            Err(why) if why.kind() == std::io::ErrorKind::AlreadyExists => Err(taken()),
            Err(why) => Err(format!("{} cannot be written: {why}", place.display())),
        }
    }
}

/// Writes a key file whole, for its owner alone, and only where there is none.
fn write(place: &Path, pem: &str) -> std::io::Result<()> {
    let folder = match place.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let mut builder = std::fs::DirBuilder::new();
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.recursive(true).create(folder)?;
    // A temporary file is made for its owner alone (mode 0600 where there are modes).
    let mut temporary = tempfile::Builder::new().prefix(".writing-").tempfile_in(folder)?;
    temporary.write_all(pem.as_bytes())?;
    temporary.as_file().sync_all()?;
    temporary.persist_noclobber(place).map_err(|why| why.error)?;
    Ok(())
}

fn from_file(file: &Path) -> Result<String, String> {
    let text = std::fs::read_to_string(file)
        .map_err(|why| format!("the passphrase file {} cannot be read: {why}", file.display()))?;
    let line = text.strip_suffix('\n').unwrap_or(&text);
    let line = line.strip_suffix('\r').unwrap_or(line);
    if line.contains(['\n', '\r']) {
        return Err(format!(
            "{} has more than one line; a passphrase file holds the passphrase and nothing else",
            file.display()
        ));
    }
    Ok(line.to_owned())
}

/// Asks on the terminal, showing nothing of what is typed.
fn ask(prompt: &str) -> Result<String, String> {
    if !stdin().is_terminal() {
        return Err(
            "there is no terminal to ask for the passphrase on: put it into a file and name that with --passphrase-file"
                .to_owned(),
        );
    }
    rpassword::prompt_password(prompt).map_err(|why| format!("the passphrase could not be read: {why}"))
}
