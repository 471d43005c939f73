using System.Collections.Concurrent;
using System.Collections.Immutable;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Work;

namespace Recipes.Hosting.Reports;

/// <summary>
/// What the kept steps of an art have decided: the questions that they answered, the proposals that they took, and the whites
/// that they left bare. A check doesn't ask again. A recipe decides only what it was asked itself: what one calls settled says nothing of another's question.
/// </summary>
public sealed class Decisions
{
    /// <summary>The recipe that decides which whites print.</summary>
    internal const string WhitesRecipe = "printable-whites";

    // How far, in px, each side of a region's box may lie from that of one decided, since a later step may have moved its edge; or which share
    // of both boxes together may not be in common. Ours.
    private const int Slack = 2;
    private const double Apart = 0.2;

    private readonly ILookup<(string Recipe, string Code), (Box? Box, string Words)> made;
    private readonly ILookup<string, int> ran;
    private readonly int last;
    private readonly ConcurrentDictionary<(string, string), (Box Box, string Words)[]> sorted = [];

    private Decisions(IEnumerable<(string Recipe, string Code, Box? Box, string Words)> made, IEnumerable<(string Recipe, int Step)> ran, int last)
    {
        this.last = last;
        this.made = made.ToLookup(one => (one.Recipe, one.Code), one => (one.Box, one.Words));
        this.ran = ran.ToLookup(one => one.Recipe, one => one.Step);
    }

    /// <summary>Nothing is decided.</summary>
    public static Decisions None { get; } = new([], [], 0);

    /// <summary>Reads them from the steps up to the state's own.</summary>
    public static Decisions Of(ArtState state)
    {
        ArgumentNullException.ThrowIfNull(state);
        if (state.Line is not { } line || state.Step == 0)
        {
            return None;
        }

        var made = new List<(string, string, Box?, string)>();
        var ran = new List<(string, int)>();
        bool resized = false;
        for (int at = state.Step; at != 0;)
        {
            var done = line.Steps.First(known => known.Number == at);
            at = done.Parent;
            var report = OutsideJson.Parse(Encoding.UTF8.GetBytes(done.Record.ReportJson));
            var declared = report.Object("declared");
            string? sizedBy = declared.Text("sizedBy") ?? (declared.Says("sizeChange") ? done.Record.Recipe : null);
            if (!resized)
            {
                ran.AddRange(SinceSized([.. StepRecipes.PartsOf(report), done.Record.Recipe], sizedBy).Distinct().Select(recipe => (recipe, done.Number)));
            }

            resized |= declared.Says("sizeChange");
            made.AddRange(Made(report, $"step {done.Number}{(done.Record.By is { } by ? $" by {CleanText.Line(by, 60)}" : "")}", state.Art.Ground.Edge));
        }

        return new Decisions(made, ran, state.Step);
    }

    /// <summary>Those of a list that is being run.</summary>
    public static Decisions Of(RunReport report)
    {
        ArgumentNullException.ThrowIfNull(report);
        return new Decisions([], SinceSized(report.Steps, report.Declared.SizedBy).Distinct().Select(name => (name, 0)), 0);
    }

    // What a step decided, where it lies now.
    private static IEnumerable<(string Recipe, string Code, Box? Box, string Words)> Made(JsonObject? report, string who, Box edge)
    {
        var step = report.Object("ground") is { } ground ? ReadBox(ground["edge"]) : null;
        Box? Now(JsonNode? box, JsonNode? under) => ReadBox(box) is { } was ? Moved(was, ReadBox(under) ?? step ?? edge, edge) : null;
        foreach (var region in Objects(report?["whites"]).Where(region => !region.Says("chosen")))
        {
            yield return (WhitesRecipe, Field(region, "class"), Now(region["box"], report?["whitesEdge"]), $"left bare in {who}");
        }

        foreach (var question in Objects(report?["decided"]).Concat(Objects(report?["questions"])))
        {
            string words = question.Text("decision") is { } decision ? $"{who}: {CleanText.Line(decision, 200)}"
                : $"{who} took the proposal: {CleanText.Line(question.Text("proposal") ?? "", 200)}";
            var boxes = Objects(question["regions"]).Select(region => Now(region["box"], question["edge"])).OfType<Box>().ToList();
            foreach (Box? box in boxes.Count == 0 ? [null] : boxes.Select(box => (Box?)box))
            {
                yield return (Field(question, "recipe"), Field(question, "code"), box, words);
            }
        }
    }

    // Resampling brings back what was mended before it.
    private static ImmutableArray<string> SinceSized(ImmutableArray<string> recipes, string? sizedBy) =>
        sizedBy is null ? recipes : recipes[(recipes.LastIndexOf(sizedBy) + 1)..];

    /// <summary>True where no later step has changed the art.</summary>
    public bool IsLast(int step) => step == last;

    /// <summary>The step in which a recipe ran last since the art was sized, 0 for the list that is being run, or null where it is in none.</summary>
    public int? StepOf(string recipe) => ran[recipe] is var steps && steps.Any() ? steps.First() : null;

    /// <summary>In how many steps it ran since then.</summary>
    public int TimesOf(string recipe) => ran[recipe].Count();

    /// <summary>How a region was decided, in words; null where it wasn't.</summary>
    /// <param name="recipe">The recipe that asks.</param>
    /// <param name="code">The code of its question, or of the region.</param>
    /// <param name="box">Around the region; null for a question that is about the whole art.</param>
    public string? About(string recipe, string code, Box? box)
    {
        if (box is not { } asked)
        {
            return made[(recipe, code)].FirstOrDefault(one => one.Box is null).Words;
        }

        // An art may have many thousands of whites: only those whose left side is near are compared.
        var known = sorted.GetOrAdd((recipe, code), key =>
            [.. made[key].Where(one => one.Box is not null).Select(one => (one.Box!.Value, one.Words)).OrderBy(one => one.Item1.X)]);

        int reach = Math.Max(Slack, (int)Math.Ceiling(asked.Width * Apart / (1 - Apart)));
        for (int i = FirstFrom(known, asked.X - reach); i < known.Length && known[i].Box.X <= asked.X + reach; i++)
        {
            if (IsSame(asked, known[i].Box))
            {
                return known[i].Words;
            }
        }

        return null;
    }

    private static int FirstFrom((Box Box, string Words)[] known, int x)
    {
        int from = 0, to = known.Length;
        while (from < to)
        {
            int middle = (from + to) / 2;
            (from, to) = known[middle].Box.X < x ? (middle + 1, to) : (from, middle);
        }

        return from;
    }

    private static bool IsSame(Box one, Box other)
    {
        if (Math.Max(Math.Max(Math.Abs(one.X - other.X), Math.Abs(one.Y - other.Y)),
            Math.Max(Math.Abs(one.Right - other.Right), Math.Abs(one.Bottom - other.Bottom))) <= Slack)
        {
            return true;
        }

        var both = one.Within(other);
        double common = both.IsEmpty ? 0 : (double)both.Width * both.Height;
        return common >= (1 - Apart) * (((double)one.Width * one.Height) + ((double)other.Width * other.Height) - common);
    }

    /// <summary>A question without what is decided of it, and what is decided; either may be null.</summary>
    public (AskedQuestion? Open, AskedQuestion? Decided) Split(AskedQuestion question)
    {
        ArgumentNullException.ThrowIfNull(question);
        if (question.Regions.IsEmpty)
        {
            return About(question.Recipe, question.Code, null) is { } said ? (null, question with { Decision = said }) : (question, null);
        }

        var told = question.Regions.ToLookup(region => About(question.Recipe, question.Code, region.Box));
        ImmutableArray<ReportedRegion> open = [.. told[null]], decided = [.. question.Regions.Except(open)];
        return (open.IsEmpty ? null : question with { Regions = open },
            decided.IsEmpty ? null : question with { Regions = decided, Decision = told.First(group => group.Key is not null).Key });
    }

    private static IEnumerable<JsonObject> Objects(JsonNode? list) => (list as JsonArray ?? []).OfType<JsonObject>();

    private static string Field(JsonObject json, string field) => json.Text(field) ?? "";

    private static Box? ReadBox(JsonNode? json) =>
        json is JsonArray { Count: 4 } list && list.All(side => side is JsonValue value && value.TryGetValue(out int _))
            && list.Select(side => side!.GetValue<int>()).ToArray() is [var x, var y, var width, var height] && width > 0 && height > 0
                ? new Box(x, y, width, height) : null;

    // Where a box lies now that the picture's edge lies elsewhere; outward to whole px.
    private static Box Moved(Box box, Box from, Box to)
    {
        if (from == to)
        {
            return box;
        }

        double across = (double)to.Width / from.Width, down = (double)to.Height / from.Height;
        int left = (int)Math.Floor(to.X + ((box.X - from.X) * across)), top = (int)Math.Floor(to.Y + ((box.Y - from.Y) * down));
        return new Box(left, top, (int)Math.Ceiling(to.X + ((box.Right - from.X) * across)) - left,
            (int)Math.Ceiling(to.Y + ((box.Bottom - from.Y) * down)) - top);
    }
}
