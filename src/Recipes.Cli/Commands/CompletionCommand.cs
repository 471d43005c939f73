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
                local line="${COMP_LINE:0:COMP_POINT}" word item
                word="${line##*[[:space:]]}"
                # The shell completes only what stands behind the last = or : of a word.
                local cut="${word%"${word##*[=:]}"}"
                COMPREPLY=()
                while IFS= read -r item; do
                    if [[ -n $item && $item == "$word"* ]]; then COMPREPLY+=("${item#"$cut"}"); fi
                done < <(recipes "[suggest:${#line}]" "$line" 2>/dev/null)
                if [[ ${#COMPREPLY[@]} -eq 1 && ${COMPREPLY[0]} == *= ]]; then compopt -o nospace 2>/dev/null; fi
            }
            complete -o default -F _recipes recipes
            """,
        ["zsh"] = """
            # recipes completion for zsh: eval "$(recipes completion zsh)"
            _recipes() {
                local line="${(j: :)words[1,CURRENT-1]} $PREFIX"
                local -a found open whole
                found=("${(@f)$(recipes "[suggest:${#line}]" "$line" 2>/dev/null)}")
                # What ends with = goes on without a space.
                open=(${(M)found:#*=}) whole=(${found:#*=})
                compadd -S '' -a open
                compadd -a whole
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
            return new Outcome(new JsonObject { ["script"] = script }, text => text.Write(script + "\n"));
        });
    }
}
