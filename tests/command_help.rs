//! The help of the program and of each command, word for word.

use crate::support::program::counterfoil;

const COMMANDS: [&str; 6] = ["saleday", "tickets", "examine", "layout", "ledger", "explain"];

fn help(command: Option<&str>) -> String {
    let arguments: Vec<_> = command.into_iter().chain(["--help"]).collect();
    let said = counterfoil(&arguments);
    assert_eq!((said.exit, said.err.as_str()), (0, ""), "{arguments:?}");
    said.out
}

#[test]
fn the_program_helps() {
    insta::assert_snapshot!("help", help(None));
}

#[test]
fn each_command_helps() {
    for command in COMMANDS {
        insta::assert_snapshot!(format!("help-{command}"), help(Some(command)));
    }
}

#[test]
fn help_fits_80_columns() {
    for command in COMMANDS.into_iter().map(Some).chain([None]) {
        for line in help(command).lines() {
            assert!(line.chars().count() <= 80, "{command:?}: {line}");
        }
    }
}

#[test]
fn the_short_help_and_the_help_command_agree_with_the_list_of_commands() {
    let help = help(None);
    for command in COMMANDS {
        assert!(help.lines().any(|line| line.trim_start().starts_with(&format!("{command} "))), "{command}: {help}");
        let asked = counterfoil(&["help", command]);
        assert_eq!((asked.exit, asked.out), (0, self::help(Some(command))));
        assert_eq!(counterfoil(&[command, "-h"]).exit, 0);
    }
}
