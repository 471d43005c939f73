using System.CommandLine;
using System.CommandLine.Help;
using System.CommandLine.Invocation;
using System.Runtime.CompilerServices;

namespace Recipes.Cli;

/// <summary>A command's help with an example below it; the list of all commands stays a list.</summary>
internal sealed class HelpWithExample(HelpAction help) : SynchronousCommandLineAction
{
    /// <summary>The example of each command.</summary>
    public static ConditionalWeakTable<Command, string> Examples { get; } = [];

    /// <inheritdoc/>
    public override bool ClearsParseErrors => true;

    /// <inheritdoc/>
    public override int Invoke(ParseResult parseResult)
    {
        int exit = help.Invoke(parseResult);
        if (Examples.TryGetValue(parseResult.CommandResult.Command, out string? example))
        {
            parseResult.InvocationConfiguration.Output.WriteLine($"Example:\n  {example}\n");
        }

        return exit;
    }
}
