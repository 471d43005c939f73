using System.CommandLine;
using System.CommandLine.Help;
using System.Globalization;
using System.Reflection;
using System.Text;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary>The manual page in the language of man(7), from the tree of commands that the help is made of.</summary>
internal static class ManPage
{
    private static readonly Dictionary<ExitCode, string> Meanings = new()
    {
        [ExitCode.Done] = "Done.",
        [ExitCode.TestFailed] = "A test case of a recipe failed.",
        [ExitCode.Usage] = "Unknown command, recipe or parameter, bad value, bad or missing setup.",
        [ExitCode.Art] = "The art can't be used, or a work file, chart or pack is damaged or of a newer version.",
        [ExitCode.RecipeRefused] = "The recipe is refused: it doesn't compile, or uses what recipes may not use.",
        [ExitCode.RecipeFailed] = "The recipe failed, declined this art or setup, or went over its budget.",
        [ExitCode.Guardrail] = "A guardrail or --strict stopped it.",
        [ExitCode.Conflict] = "Conflict: stale dry run, art changed, recipe already run, nothing to undo or redo, work file in use.",
        [ExitCode.NotApproved] = "Not approved, a signature or key that doesn't hold, or this machine can't confine it.",
        [ExitCode.Output] = "The output can't be written.",
        [ExitCode.Fault] = "A fault of the program itself.",
        [ExitCode.Interrupted] = "Interrupted.",
    };

    public static string Of(Command root)
    {
        string version = typeof(ManPage).Assembly.GetCustomAttribute<AssemblyInformationalVersionAttribute>()!.InformationalVersion.Split('+')[0];
        // No date: the same program gives the same page.
        var page = new StringBuilder($".TH RECIPES 1 \"\" \"recipes {version}\"\n.SH NAME\nrecipes \\- {Text(First(root.Description))}\n"
            + ".SH SYNOPSIS\n.B recipes\n.I command\n.RI [ options ]\n");
        page.Append($".SH DESCRIPTION\n{Text(root.Description)}\n.PP\n"
            + $"A recipe is found by name: in the folder of\n.BR \\-\\-recipes ,\n"
            + $"then in RECIPES_PATH, then in the user's data folder, then among those that came with the program.\n");
        page.Append(".SH OPTIONS\nThese go with every command.\n");
        Options(page, root);
        page.Append(".SH COMMANDS\n");
        Commands(page, root, "");
        page.Append(".SH EXIT STATUS\n");
        foreach (var code in Enum.GetValues<ExitCode>())
        {
            page.Append(CultureInfo.InvariantCulture, $".TP\n.B {(int)code}\n{Text(Meanings[code])}\n");
        }

        page.Append(".SH ENVIRONMENT\n.TP\n.B RECIPES_PATH\nFolders with recipes, separated as in PATH.\n"
            + ".TP\n.BR XDG_CONFIG_HOME \", \" XDG_DATA_HOME \", \" XDG_CACHE_HOME \", \" XDG_STATE_HOME\n"
            + "Where settings and garment setups, recipes and snippets, what can be computed again, and logs and keys lie.\n");
        return page.ToString();
    }

    private static void Commands(StringBuilder page, Command parent, string path)
    {
        foreach (var command in parent.Subcommands.Where(command => !command.Hidden))
        {
            string name = $"{path}{command.Name}",
                arguments = string.Concat(command.Arguments.Where(argument => !argument.Hidden)
                    .Select(argument => $" {(argument.Arity.MinimumNumberOfValues == 0 ? $"[{argument.Name}]" : argument.Name)}"
                        + $"{(argument.Arity.MaximumNumberOfValues > 1 ? " ..." : "")}"));
            page.Append($".SS \"{Text(name + arguments)}\"\n{Text(command.Description)}.\n");
            foreach (var argument in command.Arguments.Where(argument => !argument.Hidden))
            {
                page.Append($".TP\n.I {Text(argument.Name)}\n{Text(argument.Description)}\n");
            }

            Options(page, command);
            if (HelpWithExample.Examples.TryGetValue(command, out string? example))
            {
                page.Append($".PP\nExample:\n.RS\n.nf\n{Text(example)}\n.fi\n.RE\n");
            }

            Commands(page, command, name + " ");
        }
    }

    private static void Options(StringBuilder page, Command command)
    {
        foreach (var option in command.Options.Where(option => !option.Hidden && (option is not HelpOption || command is RootCommand)))
        {
            string names = string.Join(", ", option.Aliases.Append(option.Name).Where(name => name[0] == '-')
                .OrderBy(name => name.Length).ThenBy(name => name, StringComparer.Ordinal));
            page.Append($".TP\n\\fB{Text(names)}\\fR{(option.HelpName is { } value ? $" \\fI{Text(value)}\\fR" : "")}\n"
                + $"{Text(option.Description)}{Default(option)}\n");
        }
    }

    // As the help says it; that no flag and nothing repeatable is given goes without saying.
    private static string Default(Option option) =>
        option.HasDefaultValue && !option.ValueType.IsArray && option.ValueType != typeof(bool)
            && Convert.ToString(option.GetDefaultValue(), CultureInfo.InvariantCulture) is { Length: > 0 } value ? $" [default: {Text(value)}]" : "";

    private static string First(string? sentence) => (sentence ?? "").TrimEnd('.');

    // In roff a backslash begins an escape, a dash is a hyphen unless escaped, and a dot or quote that begins a line a request.
    private static string Text(string? text)
    {
        string escaped = (text ?? "").Replace("\\", "\\e", StringComparison.Ordinal).Replace("-", "\\-", StringComparison.Ordinal)
            .Replace("\"", "\\(dq", StringComparison.Ordinal);
        return escaped.StartsWith('.') || escaped.StartsWith('\'') ? "\\&" + escaped : escaped;
    }
}
