using System.Collections.Immutable;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Hosting.Work;
using Recipes.Imaging;

namespace Recipes.Hosting;

/// <summary>
/// What the kept steps of an art have decided: the questions that they answered, the proposals that they took, and the whites
/// that they left bare. A check doesn't ask again.
/// </summary>
public sealed class Decisions
{
    // How far, in px, the box of a region may reach over that of one decided: a later step may have moved its edge.
    private const int Slack = 2;

    private readonly ImmutableArray<(string Code, Box? Box, string Words)> made;
    private readonly ImmutableDictionary<string, int> ran;

    private Decisions(ImmutableArray<(string, Box?, string)> made, ImmutableDictionary<string, int> ran) => (this.made, this.ran) = (made, ran);

    /// <summary>Nothing is decided.</summary>
    public static Decisions None { get; } = new([], ImmutableDictionary<string, int>.Empty);

    /// <summary>Reads them from the steps up to the state's own.</summary>
    public static Decisions Of(ArtState state)
    {
        ArgumentNullException.ThrowIfNull(state);
        if (state.Work is not { } work || state.Step == 0)
        {
            return None;
        }

        var made = ImmutableArray.CreateBuilder<(string, Box?, string)>();
        var ran = ImmutableDictionary.CreateBuilder<string, int>();
        var line = work.Line(state.Setup.Name);
        bool resized = false;
        for (int at = state.Step; at != 0;)
        {
            var done = line.Steps.First(known => known.Number == at);
            at = done.Parent;
            var report = OutsideJson.Parse(Encoding.UTF8.GetBytes(done.Record.ReportJson));
            var declared = report.Object("declared");
            foreach (string recipe in resized ? [] : SinceSized([.. RecipesOf(report), done.Record.Recipe], declared.Text("sizedBy") ?? (declared.Says("sizeChange") ? done.Record.Recipe : null)))
            {
                ran.TryAdd(recipe, done.Number);
            }

            resized |= declared.Says("sizeChange");

            var then = (report.Object("ground") is { } ground ? ReadBox(ground["edge"]) : null) ?? state.Art.Ground.Edge;
            string who = $"step {done.Number}{(done.Record.By is { } by ? $" by {CleanText.Line(by, 60)}" : "")}";
            Box? Now(JsonNode? box) => ReadBox(box) is { } was ? Moved(was, then, state.Art.Ground.Edge) : null;
            foreach (var region in Objects(report?["whites"]).Where(region => !region.Says("chosen")))
            {
                made.Add((Code(region, "class"), Now(region["box"]), $"left bare in {who}"));
            }

            foreach (var question in Objects(report?["decided"]).Concat(Objects(report?["questions"])))
            {
                string words = question.Text("decision") is { } decision ? $"{who}: {CleanText.Line(decision, 200)}" : $"{who} took the proposal: {CleanText.Line(question.Text("proposal") ?? "", 200)}";
                var boxes = Objects(question["regions"]).Select(region => Now(region["box"])).OfType<Box>().ToList();
                made.AddRange(boxes.Count == 0 ? [(Code(question, "code"), null, words)] : boxes.Select(box => (Code(question, "code"), (Box?)box, words)));
            }
        }

        return new Decisions(made.ToImmutable(), ran.ToImmutable());
    }

    /// <summary>Those of a list that is being run.</summary>
    public static Decisions Of(RunReport report)
    {
        ArgumentNullException.ThrowIfNull(report);
        return new Decisions([], SinceSized(report.Steps, report.Declared.SizedBy).Distinct().ToImmutableDictionary(name => name, _ => 0));
    }

    // Resampling brings back what was mended before it.
    private static ImmutableArray<string> SinceSized(ImmutableArray<string> recipes, string? sizedBy) =>
        sizedBy is null ? recipes : recipes[(recipes.LastIndexOf(sizedBy) + 1)..];

    /// <summary>The step in which a recipe ran last since the art was sized, 0 for the list that is being run, or null where it is in none.</summary>
    public int? StepOf(string recipe) => ran.TryGetValue(recipe, out int step) ? step : null;

    /// <summary>How a region was decided, in words; null where it wasn't.</summary>
    /// <param name="code">The code of the question or of the region.</param>
    /// <param name="box">Around the region; null for a question that is about the whole art.</param>
    public string? About(string code, Box? box)
    {
        foreach (var (decided, around, words) in made)
        {
            if (decided == code && (box is not { } asked || around is not { } known ? box is null && around is null : asked.Within(known.Grow(Slack)) == asked))
            {
                return words;
            }
        }

        return null;
    }

    /// <summary>A question without what is decided of it, and what is decided; either may be null.</summary>
    public (AskedQuestion? Open, AskedQuestion? Decided) Split(AskedQuestion question)
    {
        ArgumentNullException.ThrowIfNull(question);
        if (question.Regions.IsEmpty)
        {
            return About(question.Code, null) is { } said ? (null, question with { Decision = said }) : (question, null);
        }

        var told = question.Regions.ToLookup(region => About(question.Code, region.Box));
        ImmutableArray<ReportedRegion> open = [.. told[null]], decided = [.. question.Regions.Except(open)];
        return (open.IsEmpty ? null : question with { Regions = open },
            decided.IsEmpty ? null : question with { Regions = decided, Decision = told.First(group => group.Key is not null).Key });
    }

    private static IEnumerable<string> RecipesOf(JsonObject? report) =>
        (report?["recipes"] as JsonArray ?? []).Select(name => name is JsonValue value && value.TryGetValue(out string? text) ? text : "");

    private static IEnumerable<JsonObject> Objects(JsonNode? list) => (list as JsonArray ?? []).OfType<JsonObject>();

    private static string Code(JsonObject json, string field) => json.Text(field) ?? "";

    private static Box? ReadBox(JsonNode? json) =>
        json is JsonArray { Count: 4 } list && list.All(side => side is JsonValue value && value.TryGetValue(out int _))
            && list.Select(side => side!.GetValue<int>()).ToArray() is [var x, var y, var width, var height] && width > 0 && height > 0 ? new Box(x, y, width, height) : null;

    // Where a box lies now that the picture's edge lies elsewhere; outward to whole px.
    private static Box Moved(Box box, Box from, Box to)
    {
        if (from == to)
        {
            return box;
        }

        double across = (double)to.Width / from.Width, down = (double)to.Height / from.Height;
        int left = (int)Math.Floor(to.X + ((box.X - from.X) * across)), top = (int)Math.Floor(to.Y + ((box.Y - from.Y) * down));
        return new Box(left, top, (int)Math.Ceiling(to.X + ((box.Right - from.X) * across)) - left, (int)Math.Ceiling(to.Y + ((box.Bottom - from.Y) * down)) - top);
    }
}
