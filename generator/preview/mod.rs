//! A course while it is written: made anew after each change, and shown on this machine only.

mod serve;

pub use serve::serve;

use crate::check::check_again;
use crate::diagnostic;
use crate::render::{self, Output};
use crate::safety::Memory;
use crate::source;
use crate::theme::Theme;
use serde_json::json;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};
use tera::{Context, Tera};
use tokio::sync::watch;

/// One state of the course.
#[derive(Debug, Default)]
pub struct Edition {
    /// Counts up from 1; 0 before the first.
    pub number: u64,
    /// The pages of the last state in which nothing was found.
    pub files: Arc<Output>,
    /// What is shown instead of any page, while something is wrong.
    pub instead: Option<String>,
    /// What is wrong, in one line a finding.
    pub wrong: Vec<String>,
    /// How long it took to make.
    pub took: Duration,
}

/// A course folder and its latest edition.
#[derive(Debug)]
pub struct Site {
    course: PathBuf,
    memory: Memory,
    latest: watch::Sender<Arc<Edition>>,
}

impl Site {
    /// Reads the course and makes its first edition.
    pub fn new(course: &Path) -> Self {
        let site = Self {
            course: course.to_owned(),
            memory: Memory::default(),
            latest: watch::Sender::new(Arc::new(Edition::default())),
        };
        site.renew();
        site
    }

    /// The folders whose files make the course.
    pub fn folders(&self) -> impl Iterator<Item = PathBuf> {
        let folders = ["lessons", "quizzes", "theme"].map(|name| self.course.join(name));
        folders.into_iter().filter(|folder| folder.is_dir())
    }

    pub fn latest(&self) -> Arc<Edition> {
        self.latest.borrow().clone()
    }

    /// Made anew whenever there is a newer edition.
    pub fn watch(&self) -> watch::Receiver<Arc<Edition>> {
        self.latest.subscribe()
    }

    /// Makes the next edition from what now stands on the disk.
    pub fn renew(&self) -> Arc<Edition> {
        let begun = Instant::now();
        let before = self.latest();
        let mut next = Edition {
            number: before.number + 1,
            files: before.files.clone(),
            ..Edition::default()
        };
        match self.made() {
            Ok(files) => next.files = Arc::new(files),
            Err(wrong) => {
                next.instead = Some(instead(&wrong));
                next.wrong = wrong;
            }
        }
        next.took = begun.elapsed();
        let next = Arc::new(next);
        self.latest.send_replace(next.clone());
        next
    }

    /// The pages, or all that is wrong.
    fn made(&self) -> Result<Output, Vec<String>> {
        let sources = source::read(&self.course).map_err(|why| vec![why.to_string()])?;
        let checked = check_again(&sources, &self.memory).map_err(|findings| {
            let texts = findings
                .iter()
                .map(|finding| diagnostic::text(finding, &sources, false));
            texts.collect::<Vec<_>>()
        })?;
        let mut output = render::render(&checked, &sources).map_err(|why| vec![why.to_string()])?;
        // A browser that keeps pages for later would show old ones: this worker keeps none.
        output.insert("kept.js".into(), b"self.skipWaiting();\n".to_vec());
        Ok(output)
    }
}

/// The page that tells what is wrong.
fn instead(wrong: &[String]) -> String {
    let count = match wrong.len() {
        1 => "1 finding".to_owned(),
        many => format!("{many} findings"),
    };
    let filled = || -> Option<String> {
        let mut tera = Tera::new();
        tera.add_raw_templates(Theme::built_in().templates("preview/").ok()?)
            .ok()?;
        let context = Context::from_serialize(&json!({ "count": count, "findings": wrong })).ok()?;
        tera.render("findings.html", &context).ok()
    };
    // The template is built in. Should it ever fail, the findings still count more than their look.
    filled().unwrap_or_else(|| count.clone())
}
