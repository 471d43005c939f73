using System.Collections.Immutable;
using System.Globalization;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Words;

namespace Recipes.Hosting.Journals;

/// <summary>What was done.</summary>
public enum JournalAct
{
    /// <summary>A recipe's result was kept as a step.</summary>
    Commit,

    /// <summary>Steps were taken back.</summary>
    Undo,

    /// <summary>A step that was taken back was done again.</summary>
    Redo,

    /// <summary>The current state was written to a file.</summary>
    Export,

    /// <summary>A recipe's result was written to a file, without a work file.</summary>
    Run,

    /// <summary>A recipe was installed.</summary>
    Add,

    /// <summary>Somebody told how a real print came out.</summary>
    Print,
}

/// <summary>A recipe as the journal names it.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Version">Its version.</param>
/// <param name="Sha256">Of its source and snippets, lower-case hex.</param>
public sealed record JournalRecipe(string Name, int Version, string Sha256);

/// <summary>A file as the journal names it: without its folder, which would tell of customers and machines what nobody asks for.</summary>
/// <param name="Name">The file's name.</param>
/// <param name="Sha256">Of its bytes, lower-case hex.</param>
public sealed record JournalFile(string Name, string Sha256)
{
    /// <summary>The name of a file as the journal holds it.</summary>
    public static string NameOf(string path) => JournalEntry.Clean(Path.GetFileName(path)) ?? "";
}

/// <summary>One line of the journal. docs/journal.md describes it.</summary>
public sealed record JournalEntry
{
    // What is written never makes a line that the reader leaves out: a character outside the basic plane takes twelve bytes, and a list names many recipes.
    private const int Format = 1, LongestText = 255, LongestListed = 80, MostRecipes = 64;
    private const string Time = "yyyy-MM-dd'T'HH:mm:ss'Z'";

    // Relaxed: names in any script stay readable. Line feeds and other control characters are escaped all the same.
    private static readonly JsonSerializerOptions OneLine = new() { Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    /// <summary>When, UTC, to the second.</summary>
    public required DateTimeOffset At { get; init; }

    /// <summary>What was done.</summary>
    public required JournalAct Act { get; init; }

    /// <summary>Who did it, as they called themselves; null where nobody said.</summary>
    public string? By { get; init; }

    /// <summary>The recipe, or list of recipes, that ran or was installed.</summary>
    public JournalRecipe? Recipe { get; init; }

    /// <summary>The names of the recipes of a list, or of the steps that were taken back or done again.</summary>
    public ImmutableArray<string> Recipes { get; init; } = [];

    /// <summary>The customer's file.</summary>
    public JournalFile? Art { get; init; }

    /// <summary>The garment setup's name.</summary>
    public string? Setup { get; init; }

    /// <summary>The step that the art is at since.</summary>
    public int? Step { get; init; }

    /// <summary>The file that was written.</summary>
    public JournalFile? File { get; init; }

    /// <summary>The name of the pack or folder that a recipe came from.</summary>
    public string? From { get; init; }

    /// <summary>The version that an installed recipe took the place of.</summary>
    public int? Replaced { get; init; }

    /// <summary>Why, as whoever did it put it; of a print, what was seen.</summary>
    public string? Note { get; init; }

    /// <summary>How a print came out: <c>good</c> or <c>bad</c>.</summary>
    public string? Result { get; init; }

    /// <summary>What went wrong with a bad print, by the name of its cause.</summary>
    public string? Cause { get; init; }

    /// <summary>True where a recipe of this name had a part in it.</summary>
    public bool Concerns(string recipe) => Recipe?.Name == recipe || Recipes.Contains(recipe);

    /// <summary>The entry as JSON; fields that say nothing are left out.</summary>
    public JsonObject ToJson()
    {
        var json = new JsonObject { ["journal"] = Format, ["at"] = At.UtcDateTime.ToString(Time, CultureInfo.InvariantCulture), ["what"] = EnumWord.Of(Act) };
        Add("by", Clean(By));
        Add("recipe", Recipe is null ? null : new JsonObject { ["name"] = Clean(Recipe.Name), ["version"] = Recipe.Version, ["sha256"] = Recipe.Sha256 });
        Add("recipes", Recipes.IsEmpty ? null : new JsonArray([.. Recipes.Take(MostRecipes).Select(name => (JsonNode?)Clean(name, LongestListed))]));
        Add("art", Of(Art));
        Add("setup", Clean(Setup));
        Add("step", Step);
        Add("file", Of(File));
        Add("from", Clean(From));
        Add("replaced", Replaced);
        Add("note", Clean(Note));
        Add("result", Clean(Result));
        Add("cause", Clean(Cause));
        return json;

        void Add(string name, JsonNode? value)
        {
            if (value is not null)
            {
                json[name] = value;
            }
        }

        static JsonObject? Of(JournalFile? file) => file is null ? null : new JsonObject { ["name"] = Clean(file.Name), ["sha256"] = file.Sha256 };
    }

    /// <summary>The entry as one line, without its line feed.</summary>
    public override string ToString() => ToJson().ToJsonString(OneLine);

    /// <summary>Reads a line that anybody could have written: the entry, or why there is none.</summary>
    internal static (JournalEntry? Entry, string Why) Parse(ReadOnlySpan<byte> line)
    {
        if (OutsideJson.Parse(line) is not { } json)
        {
            return (null, "it is no JSON object");
        }

        if (Number(json, "journal") is not { } format || format != Format)
        {
            return (null, $"it doesn't say \"journal\": {Format}, which is what this version reads");
        }

        if (!DateTimeOffset.TryParseExact(json.Text("at"), Time, CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal, out var at))
        {
            return (null, "it has no time such as 2026-11-25T21:14:07Z");
        }

        if (Enum.GetValues<JournalAct>().Cast<JournalAct?>().FirstOrDefault(act => EnumWord.Of(act!.Value) == json.Text("what")) is not { } act)
        {
            return (null, "it doesn't say what was done");
        }

        if (Fields.FirstOrDefault(field => json[field.Name] is { } value && !field.Fits(value)) is { Name: { } odd })
        {
            return (null, $"its field \"{odd}\" holds something else than it should");
        }

        return (new JournalEntry
        {
            At = at,
            Act = act,
            By = Clean(json.Text("by")),
            Recipe = json.Object("recipe") is { } recipe
                ? new JournalRecipe(Clean(recipe.Text("name"))!, Number(recipe, "version")!.Value, recipe.Text("sha256")!) : null,
            Recipes = json["recipes"] is JsonArray names ? [.. names.Select(name => Clean((string)name!) ?? "")] : [],
            Art = File(json.Object("art")),
            Setup = Clean(json.Text("setup")),
            Step = Number(json, "step"),
            File = File(json.Object("file")),
            From = Clean(json.Text("from")),
            Replaced = Number(json, "replaced"),
            Note = Clean(json.Text("note")),
            Result = Clean(json.Text("result")),
            Cause = Clean(json.Text("cause")),
        }, "");

        static JournalFile? File(JsonObject? json) => json is null ? null : new JournalFile(Clean(json.Text("name"))!, json.Text("sha256")!);
    }

    private static readonly (string Name, Func<JsonNode, bool> Fits)[] Fields =
    [
        ("by", IsText), ("setup", IsText), ("from", IsText), ("note", IsText), ("result", IsText), ("cause", IsText),
        ("step", IsNumber), ("replaced", IsNumber), ("art", IsFile), ("file", IsFile),
        ("recipe", recipe => IsFile(recipe) && Number((JsonObject)recipe, "version") is not null),
        ("recipes", recipes => recipes is JsonArray { Count: <= MostRecipes } names && names.All(name => name is not null && IsText(name))),
    ];

    // What is shown as an escape now was written as it was by earlier versions: it is cleaned as it is read.
    private static bool IsText(JsonNode node) =>
        node is JsonValue value && value.TryGetValue(out string? text) && text.Length is > 0 and <= LongestText && !text.Any(char.IsControl)
        && Clean(text) is not null;

    private static bool IsNumber(JsonNode node) => node is JsonValue value && value.TryGetValue(out int number) && number >= 0;

    private static bool IsFile(JsonNode node) => node is JsonObject json && json["name"] is { } name && IsText(name)
        && json.Text("sha256") is { Length: 64 } hash && hash.All(char.IsAsciiHexDigitLower);

    private static int? Number(JsonObject json, string name) => json[name] is { } node && IsNumber(node) ? node.GetValue<int>() : null;

    /// <summary>A text as the journal holds it; cut so that cleaning it again changes nothing. Null for none.</summary>
    internal static string? Clean(string? text, int longest = LongestText)
    {
        string clean = CleanText.Line(text, longest);
        return clean.Length == 0 ? null : clean.Length <= longest ? clean : CleanText.Line(text, longest - 1);
    }
}
