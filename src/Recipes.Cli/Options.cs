using System.CommandLine;
using System.Globalization;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Cli;

/// <summary>The options that several commands share, each defined once.</summary>
internal static class Options
{
    public static readonly Option<bool> Json = new("--json") { Description = "Write exactly one JSON object to standard output", Recursive = true };
    public static readonly Option<bool> Quiet = new("--quiet", "-q") { Description = "Say nothing but errors", Recursive = true };
    public static readonly Option<bool> Verbose = new("--verbose", "-v") { Description = "Log more to standard error", Recursive = true };
    public static readonly Option<string?> Work = new("--work")
    {
        Description = "Keep work files in DIR instead of beside the art", HelpName = "DIR", Recursive = true,
    };

    public static Option<string?> Setup() => new("--setup")
    {
        Description = "The garment setup, by name or as a JSON file", HelpName = "NAME|FILE", CompletionSources = { Names.Setups },
    };

    /// <summary>Beside <see cref="Setup"/> wherever that is; <see cref="Session.Setup"/> reads both.</summary>
    public static readonly Option<string?> Garment = new("--garment")
    {
        Description = "The garment, from the shop's stock: chooses cloth and setup", HelpName = "NAME", CompletionSources = { Names.Garments },
    };

    public static Option<string?> RecipesFolder() => new("--recipes") { Description = "Look for recipes in DIR first", HelpName = "DIR" };

    public static Option<string?> Kind() => new("--kind")
    {
        Description = "What kind of art it is, where the program takes it for another: cut-out, on-paper, full-frame or mixed", HelpName = "KIND",
        CompletionSources = { _ => Enum.GetValues<ArtKind>().Select(GroundJson.KindWord) },
    };

    public static Option<string[]> Set() => new("--set")
    {
        Description = "A parameter of the recipe; repeatable", HelpName = "name=value", DefaultValueFactory = _ => [],
        AllowMultipleArgumentsPerToken = false, CompletionSources = { Names.Parameters },
    };

    public static Option<string[]> Guard() => new("--guard")
    {
        Description = "What a guardrail does: protect, refuse or allow; repeatable", HelpName = "name=policy", DefaultValueFactory = _ => [],
        CompletionSources =
        {
            _ => Guardrails.Names.SelectMany(name => Enum.GetValues<GuardPolicy>().Where(policy => Guardrails.Knows(name, policy))
                .Select(policy => $"{name}={EnumWord.Of(policy)}")),
        },
    };

    public static Option<double> TimeLimit() => new("--time-limit")
    {
        Description = "Seconds for decoding, compiling and running each", HelpName = "SECONDS", DefaultValueFactory = _ => 60,
    };

    public static Option<int?> MemoryLimit() => new("--memory-limit")
    {
        Description = "Memory of a worker in MB [default: 2048, or five times the raw pixels]", HelpName = "MB",
    };

    public static Option<bool> Timings() => new("--timings") { Description = "Say how long each phase took" };

    public static Option<string[]> Field() => new("--field")
    {
        Description = "What the sheet says of the order: order, reference, quantity, sizes, or a name of your own; repeatable", HelpName = "NAME=VALUE",
        DefaultValueFactory = _ => [], CompletionSources = { _ => TicketField.KnownNames.Select(name => name + "=") },
    };

    public static Option<bool> Force() => new("--force") { Description = "Replace output that exists" };

    public static Option<bool> Original() => new("--original") { Description = "Read the file itself, whatever steps were kept" };

    public static Option<string?> By() => new("--by") { Description = "Who does this, for the history", HelpName = "NAME" };

    public static Option<string?> Since(string description) => new("--since") { Description = description, HelpName = "DATE" };

    /// <summary>Reads <c>--since</c>: a day, from its beginning in UTC; null where it isn't given.</summary>
    public static DateTimeOffset? ReadSince(string? text) => text is null ? null
        : DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day)
            ? new DateTimeOffset(day, TimeOnly.MinValue, TimeSpan.Zero)
            : throw new ProblemException(Codes.BadUsage, $"'--since' takes a day, not '{CleanText.Line(text, 40)}'.",
                "Write --since 2026-11-01, for instance.");

    public static Argument<string> Art() => new("ART") { Description = "The picture" };

    public static Argument<string> RecipeOrList() => new("RECIPE")
    {
        HelpName = "RECIPE", Description = "A recipe's or list's name, or a .csx or .recipes file", CompletionSources = { Names.RecipesAndLists },
    };

    /// <summary>Reads the limits.</summary>
    public static WorkerLimits ReadLimits(double seconds, int? megabytes)
    {
        if (seconds is not (> 0 and <= 86_400))
        {
            throw new ProblemException(Codes.BadUsage,
                string.Create(CultureInfo.InvariantCulture, $"'--time-limit' takes seconds above 0 and up to 86400, not {seconds}."),
                "Write --time-limit 60, for instance.");
        }

        if (megabytes is < 64 or > 1_000_000)
        {
            throw new ProblemException(Codes.BadUsage,
                string.Create(CultureInfo.InvariantCulture, $"'--memory-limit' takes MB from 64 to 1000000, not {megabytes}."),
                "Write --memory-limit 2048, for instance.");
        }

        return new WorkerLimits(TimeSpan.FromSeconds(seconds), megabytes);
    }
}
