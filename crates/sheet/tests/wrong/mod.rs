//! One wrong line in a sheet that reads well, and the messages it must give.

use sheet::{Problem, read_build};

/// One message: line, column, found, expected, help.
pub type Message = (usize, usize, &'static str, &'static str, Option<&'static str>);

/// A problem as a message.
pub fn message(problem: &Problem) -> (usize, usize, &str, &str, Option<&str>) {
    (problem.line, problem.column, &problem.found, &problem.expected, problem.help.as_deref())
}

/// Puts `to` in the place of `from` in a sheet that reads well and compares all messages.
pub fn check_in(sheet: &str, from: &str, to: &str, expected: &[Message]) {
    assert!(sheet.contains(from), "{from} is not in the sheet");
    let problems = read_build(&sheet.replacen(from, to, 1)).expect_err(to);
    let got: Vec<_> = problems.list().iter().map(message).collect();
    assert_eq!(got, expected, "{from:?} -> {to:?}\n{problems}");
}
