using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Library;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Cases;

/// <summary>
/// One test case of a recipe, a JSON file beside it: an art, parameters, and what must come out. The format is described in
/// docs/testing.md.
/// </summary>
public sealed record RecipeCase
{
    /// <summary>The version of the format.</summary>
    public const int Version = 1;

    private const long Longest = 1024 * 1024;
    private const int MostRows = 512;
    private const string Letters = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789";
    private static readonly JsonSerializerOptions Indented = new()
    {
        WriteIndented = true, NewLine = "\n", Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    /// <summary>The file's stem.</summary>
    public required string Name { get; init; }

    /// <summary>The file.</summary>
    public required string Path { get; init; }

    /// <summary>What it shows, in a sentence, or empty.</summary>
    public required string About { get; init; }

    /// <summary>The garment setup: a shipped one, or one written out in the case, so that nobody's own setups change a result.</summary>
    public required GarmentSetup Setup { get; init; }

    /// <summary>The parameters, as <c>--set</c> takes them.</summary>
    public required ImmutableArray<string> Sets { get; init; }

    /// <summary>What must come out, field by field.</summary>
    public JsonObject Expect => Json["expect"]!.AsObject();

    private JsonObject Json { get; init; } = [];

    private Dictionary<char, Rgba8> Colors { get; init; } = [];

    /// <summary>The names of a recipe's case files that are cases, without reading them.</summary>
    /// <exception cref="ProblemException">R6204: there are too many files, or links among them; R6108: two cases have one name.</exception>
    public static IReadOnlyList<string> Files(string recipe)
    {
        string[] files = [.. RecipeFiles.Cases(recipe)
            .Where(file => file.Name.EndsWith(".json", StringComparison.Ordinal) && file.Name.Count(c => c == '/') == 1)
            .Select(file => file.Path).Order(StringComparer.Ordinal)];
        // Answers and pictures go by the name.
        return files.GroupBy(System.IO.Path.GetFileNameWithoutExtension, StringComparer.OrdinalIgnoreCase)
            .FirstOrDefault(group => group.Count() > 1) is { } twice
            ? throw Bad(twice.First(), $"{twice.Last()} has the same name")
            : files;
    }

    /// <summary>Reads a case.</summary>
    /// <exception cref="ProblemException">R6108: it is malformed.</exception>
    public static RecipeCase Read(string path)
    {
        string name = System.IO.Path.GetFileNameWithoutExtension(path);
        if (!PlainName.IsOfFile(name))
        {
            throw Bad(path, "its name has other characters than small letters, digits and dashes");
        }

        var json = OutsideJson.ReadFile(path, Longest, Around(path)) ?? throw Bad(path, "it is no JSON object, or longer than 1 MB");
        if (json["case"] is not JsonValue version || !version.TryGetValue(out int number) || number != Version)
        {
            throw Bad(path, $"its first field isn't \"case\": {Version}");
        }

        if (json.Select(field => field.Key).Except(["case", "about", "setup", "set", "colors", "art", "expect"]).FirstOrDefault() is { } unknown)
        {
            throw Bad(path, $"it has the unknown field '{CleanText.Line(unknown, 40)}'");
        }

        if (json["expect"] is not JsonObject expect || expect.Select(field => field.Key).Except(CaseRunner.Fields).FirstOrDefault() is not null)
        {
            throw Bad(path, $"\"expect\" takes {string.Join(", ", CaseRunner.Fields)}");
        }

        foreach (string field in (string[])["set", "colors", "art"])
        {
            if (json[field] is not (null or JsonObject))
            {
                throw Bad(path, $"\"{field}\" is no JSON object");
            }
        }

        if (json.ContainsKey("about") && json.Text("about") is null)
        {
            throw Bad(path, "\"about\" is no text");
        }

        var sets = json.Object("set") ?? [];
        return new RecipeCase
        {
            Name = name,
            Path = path,
            About = CleanText.Line(json.Text("about") ?? "", 300),
            Setup = ReadSetup(json["setup"], path),
            Sets = [.. sets.Select(set => $"{set.Key}="
                + $"{sets.Text(set.Key) ?? throw Bad(path, $"the parameter '{CleanText.Line(set.Key, 40)}' isn't given as text, the way --set takes it")}")],
            Json = json,
            Colors = ReadColors(json.Object("colors"), path),
        };
    }

    /// <summary>The art that the recipe runs on.</summary>
    /// <exception cref="ProblemException">R6108; R3 codes of a picture that can't be read.</exception>
    public Artwork ReadArt(WorkerPool workers, CancellationToken cancel)
    {
        var art = Json.Object("art") ?? throw Bad(Path, "it has no \"art\"");
        if (art.Text("picture") is { } picture)
        {
            return ReadPicture(picture, workers, cancel);
        }

        var ppi = art["ppi"] is JsonValue value
            ? value.TryGetValue(out double number) && number is >= 1 and <= 10_000 ? number : throw Bad(Path, "\"ppi\" is a number from 1 to 10000")
            : (double?)null;
        return Artwork.FromPixels(Draw(art["rows"], "art"), ppi);
    }

    /// <summary>A picture that lies beside the case, decoded in a worker.</summary>
    /// <exception cref="ProblemException">R6108; R3 codes.</exception>
    public Artwork ReadPicture(string name, WorkerPool workers, CancellationToken cancel) =>
        ArtFile.ReadPicture(PictureFile(name), Around(Path)).Decode(workers, cancel).Art;

    // Cases lie in a folder beside the recipe.
    private static string? Around(string path) => System.IO.Path.GetDirectoryName(System.IO.Path.GetDirectoryName(System.IO.Path.GetFullPath(path)));

    /// <summary>The file of a picture that lies beside the case.</summary>
    /// <exception cref="ProblemException">R6108.</exception>
    public string PictureFile(string name) =>
        name is { Length: > 4 and < 100 } && name.EndsWith(".png", StringComparison.Ordinal)
            && name[..^4].All(c => PlainName.IsOfFile(c.ToString()) || c is '.' or '-') && !DeviceName.Is(name)
            ? System.IO.Path.Combine(System.IO.Path.GetDirectoryName(Path)!, name)
            : throw Bad(Path, $"'{CleanText.Line(name, 60)}' is no name of a PNG beside it");

    /// <summary>The file of the art, or null where the case draws its own.</summary>
    /// <exception cref="ProblemException">R6108.</exception>
    public string? ArtPicture => Json.Object("art").Text("picture") is { } name ? PictureFile(name) : null;

    /// <summary>Pixels written as rows of letters, each of which <c>colors</c> explains.</summary>
    /// <exception cref="ProblemException">R6108.</exception>
    public Plane<Rgba8> Draw(JsonNode? node, string field)
    {
        string[] rows = node is JsonArray array ? [.. array.Select(row => row is JsonValue value && value.TryGetValue(out string? text) ? text : "")] : [];
        int width = rows.Length == 0 ? 0 : rows[0].Length;
        if (rows.Length is 0 or > MostRows || width is 0 or > MostRows || rows.Any(row => row.Length != width))
        {
            throw Bad(Path, $"\"rows\" of \"{field}\" are 1 to {MostRows} texts of one length, 1 to {MostRows}");
        }

        return Plane<Rgba8>.FromContiguous(width, rows.Length, rows.SelectMany(row => row).Select(letter =>
            Colors.TryGetValue(letter, out var color) ? color : throw Bad(Path, $"the letter '{letter}' in \"{field}\" isn't among its \"colors\"")).ToArray());
    }

    /// <summary>Pixels as rows of letters, and the letters that had to be added for them; null where they are too many.</summary>
    public (JsonArray Rows, IReadOnlyDictionary<char, Rgba8> Added)? Spell(Plane<Rgba8> pixels)
    {
        ArgumentNullException.ThrowIfNull(pixels);
        if (pixels.Width > MostRows || pixels.Height > MostRows)
        {
            return null;
        }

        var letters = Colors.GroupBy(pair => pair.Value).ToDictionary(group => group.Key, group => group.First().Key);
        var added = new SortedDictionary<char, Rgba8>();
        var rows = new JsonArray();
        for (int y = 0; y < pixels.Height; y++)
        {
            var row = new char[pixels.Width];
            for (int x = 0; x < row.Length; x++)
            {
                if (!letters.TryGetValue(pixels[x, y], out row[x]))
                {
                    char free = Letters.FirstOrDefault(letter => !Colors.ContainsKey(letter) && !added.ContainsKey(letter));
                    if (free == default)
                    {
                        return null;
                    }

                    letters[pixels[x, y]] = row[x] = free;
                    added[free] = pixels[x, y];
                }
            }

            rows.Add(new string(row));
        }

        return (rows, added);
    }

    /// <summary>Writes the case with other expectations.</summary>
    /// <param name="stream">Where to.</param>
    /// <param name="expect">What must come out.</param>
    /// <param name="added">Letters that its rows need.</param>
    public void Write(Stream stream, JsonObject expect, IReadOnlyDictionary<char, Rgba8> added)
    {
        ArgumentNullException.ThrowIfNull(added);
        var json = Json.DeepClone().AsObject();
        json["expect"] = expect;
        foreach (var (letter, color) in added)
        {
            (json["colors"] ??= new JsonObject())[letter.ToString()] = color.ToString();
        }

        JsonSerializer.Serialize(stream, json, Indented);
    }

    internal static ProblemException Bad(string path, string why) => new(
        Codes.BadCase, $"The test case can't be used: {why}.", "docs/testing.md describes what a case holds.", new Place(path));

    private static GarmentSetup ReadSetup(JsonNode? node, string path) => node switch
    {
        JsonObject own => SetupJson.Read(System.Text.Encoding.UTF8.GetBytes(own.ToJsonString()), path, "case"),
        JsonValue value when value.TryGetValue(out string? name) && SetupStore.Shipped.FirstOrDefault(setup => setup.Name == name) is { } shipped => shipped,
        _ => throw Bad(path, $"\"setup\" is one of {string.Join(", ", SetupStore.Shipped.Select(setup => setup.Name))}, or a setup written out"),
    };

    private static Dictionary<char, Rgba8> ReadColors(JsonObject? colors, string path)
    {
        var read = new Dictionary<char, Rgba8>();
        foreach (var (letter, _) in colors ?? [])
        {
            string text = colors.Text(letter) ?? "";
            byte alpha = 255;
            if (letter.Length != 1 || !Rgba8.TryParse(text.Length == 9 ? text[..7] : text, out var color)
                || (text.Length == 9 && !byte.TryParse(text.AsSpan(7), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out alpha)))
            {
                throw Bad(path, "\"colors\" gives single letters a color as #rrggbb, or as #rrggbbaa with alpha");
            }

            read[letter[0]] = color.WithAlpha(alpha);
        }

        return read;
    }
}
