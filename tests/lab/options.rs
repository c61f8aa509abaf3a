//! What the lab is asked on the command line.

/// What to play.
#[derive(Debug, Clone)]
pub(crate) struct Options {
    /// Runs a cell.
    pub(crate) runs: usize,
    /// One experiment alone.
    pub(crate) only: Option<String>,
    pub(crate) seed: u64,
    /// Shots of each club that a candidate is watched for.
    pub(crate) shots: u32,
    /// Whether only the lab itself is tested.
    pub(crate) small: bool,
}

const HELP: &str = "just lab [--runs N] [--only NAME] [--seed N]";

impl Options {
    pub(crate) const FULL: Self =
        Self { runs: 4_000, only: None, seed: 2, shots: 150, small: false };
    /// Enough to see that the lab works, in a debug build too.
    const SMALL: Self = Self { runs: 4, only: None, seed: 1, shots: 90, small: true };

    /// As asked behind `--full`; else, whatever a test runner says, the small form.
    pub(crate) fn asked() -> Result<Self, String> {
        let given: Vec<String> = std::env::args().skip(1).collect();
        if given.iter().all(|word| word != "--full") {
            return Ok(Self::SMALL);
        }
        let mut options = Self::FULL;
        let mut words = given.iter().filter(|word| *word != "--full");
        while let Some(word) = words.next() {
            let value = words.next().ok_or(HELP)?;
            let number = || value.parse().map_err(|_| format!("{word} takes a number; {HELP}"));
            match word.as_str() {
                "--runs" => options.runs = usize::try_from(number()?).map_err(|_| HELP)?,
                "--seed" => options.seed = number()?,
                "--only" => options.only = Some(value.clone()),
                _ => return Err(format!("{word} is no option; {HELP}")),
            }
        }
        Ok(options)
    }
}
