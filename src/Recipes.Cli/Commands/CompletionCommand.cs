using System.CommandLine;
using System.Text.Json.Nodes;

namespace Recipes.Cli.Commands;

/// <summary><c>completion</c>: a shell's completion script; the program itself supplies the words.</summary>
internal static class CompletionCommand
{
    private static readonly Dictionary<string, string> Scripts = new(StringComparer.Ordinal)
    {
        ["bash"] = """
            # recipes completion for bash: eval "$(recipes completion bash)"
            _recipes() {
                local IFS=$'\n'
                COMPREPLY=($(compgen -W "$(recipes "[suggest:${COMP_POINT}]" "${COMP_LINE}" 2>/dev/null)" -- "${COMP_WORDS[COMP_CWORD]}"))
            }
            complete -o default -F _recipes recipes
            """,
        ["zsh"] = """
            # recipes completion for zsh: eval "$(recipes completion zsh)"
            _recipes() {
                local -a words_found
                words_found=("${(@f)$(recipes "[suggest:${CURSOR}]" "${BUFFER}" 2>/dev/null)}")
                compadd -a words_found
                _files
            }
            compdef _recipes recipes
            """,
        ["fish"] = """
            # recipes completion for fish: recipes completion fish | source
            complete -c recipes -a '(recipes "[suggest:"(string length -- (commandline -cp))"]" (commandline -cp) 2>/dev/null)'
            """,
        ["powershell"] = """
            # recipes completion for PowerShell: recipes completion powershell | Out-String | Invoke-Expression
            Register-ArgumentCompleter -Native -CommandName recipes -ScriptBlock {
                param($word, $line, $position)
                recipes "[suggest:$position]" "$line" | Where-Object { $_ -like "$word*" } | ForEach-Object {
                    [System.Management.Automation.CompletionResult]::new($_, $_, 'ParameterValue', $_)
                }
            }
            """,
    };

    public static Command Create()
    {
        var shell = new Argument<string>("SHELL") { Description = "bash, zsh, fish or powershell" };
        shell.AcceptOnlyFromAmong([.. Scripts.Keys]);
        var command = new Command("completion", "Writes a completion script for a shell") { shell };
        return command.With("eval \"$(recipes completion bash)\"", session =>
        {
            string script = Scripts[session.Parse.GetRequiredValue(shell)];
            return new Outcome(new JsonObject { ["script"] = script }, text => text.WriteLine(script));
        });
    }
}
