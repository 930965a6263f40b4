//! The program `scribeline`: see [`scribeline::cli`].

fn main() -> std::process::ExitCode {
    scribeline::cli::run()
}
