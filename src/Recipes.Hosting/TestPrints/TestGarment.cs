using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.TestPrints;

/// <summary>A place on a platen, inches from its top left corner.</summary>
public readonly record struct PlatenPlace(double Left, double Top, double Width, double Height)
{
    /// <summary>The smallest place around a box of px, rounded outward to 1/10,000 in.</summary>
    public static PlatenPlace Around(Box box, double pixelsPerInch)
    {
        double left = Floor(box.X / pixelsPerInch), top = Floor(box.Y / pixelsPerInch);
        return new PlatenPlace(left, top, Span(box.Right, left), Span(box.Bottom, top));

        double Span(int end, double start) => Math.Round(Math.Ceiling(Math.Round(end / pixelsPerInch * 10_000, 4)) / 10_000 - start, 4);

        static double Floor(double value) => Math.Floor(Math.Round(value * 10_000, 4)) / 10_000;
    }

    /// <summary>The smallest box of px around the place, grown by a margin.</summary>
    public Box Outside(double pixelsPerInch, double margin) => Between(Low(Left - margin, pixelsPerInch), Low(Top - margin, pixelsPerInch),
        High(Left + Width + margin, pixelsPerInch), High(Top + Height + margin, pixelsPerInch));

    /// <summary>The largest box of px in the place, less a margin; empty where nothing is left.</summary>
    public Box Inside(double pixelsPerInch, double margin) => Between(High(Left + margin, pixelsPerInch), High(Top + margin, pixelsPerInch),
        Low(Left + Width - margin, pixelsPerInch), Low(Top + Height - margin, pixelsPerInch));

    private static Box Between(int left, int top, int right, int bottom) => new(left, top, Math.Max(0, right - left), Math.Max(0, bottom - top));

    // Six decimals decide, since inches come from decimal fractions.
    private static int Low(double inches, double pixelsPerInch) => (int)Math.Floor(Math.Round(inches * pixelsPerInch, 6));

    private static int High(double inches, double pixelsPerInch) => (int)Math.Ceiling(Math.Round(inches * pixelsPerInch, 6));
}

/// <summary>A place of a test garment that something is printed on already.</summary>
/// <param name="Place">Where.</param>
/// <param name="Id">The printed ID, or null where it has none.</param>
/// <param name="Note">What it is, in words.</param>
public sealed record UsedPlace(PlatenPlace Place, string? Id, string? Note);

/// <summary>A garment that test prints go on until it is full: where it is pretreated, and what is used. Its fields are in docs/test-prints.md.</summary>
public sealed record TestGarment
{
    /// <summary>The most used places.</summary>
    public const int MostUsed = 200;

    private const int Schema = 1, Longest = 128 * 1024, LongestName = 24, LongestNote = 200;
    private const double Largest = 100;
    private const string Kind = "test-garment";
    private static readonly JsonSerializerOptions Indented = new() { WriteIndented = true, NewLine = "\n" };
    private static readonly string[] Known = ["schema", "kind", "name", "platen", "pretreated", "used"], KnownUsed = ["id", "place", "note"];

    /// <summary>Name, which the printed IDs begin with.</summary>
    public required string Name { get; init; }

    /// <summary>Width of the platen that places are measured on, inches.</summary>
    public required double PlatenWidth { get; init; }

    /// <summary>Height of the platen, inches.</summary>
    public required double PlatenHeight { get; init; }

    /// <summary>What is pretreated; null where all of the platen is.</summary>
    public PlatenPlace? Pretreated { get; init; }

    /// <summary>What is used.</summary>
    public ImmutableArray<UsedPlace> Used { get; init; } = [];

    /// <summary>
    /// The number of the next test: one above the highest of a printed ID. A number that leaves none for as many tests as a garment holds is no printed one.
    /// </summary>
    public int Next => 1 + Used.Select(used => used.Id is { } id && id.StartsWith(Name + "-", StringComparison.Ordinal)
        && int.TryParse(id.AsSpan(Name.Length + 1), NumberStyles.None, CultureInfo.InvariantCulture, out int number)
        && number <= int.MaxValue - MostUsed ? number : 0).DefaultIfEmpty(0).Max();

    /// <summary>A fresh garment for a setup's platen.</summary>
    /// <param name="path">Its future file, which names it.</param>
    /// <param name="setup">The setup.</param>
    /// <exception cref="ProblemException">R7501 the file's name is no name for a garment.</exception>
    public static TestGarment Fresh(string path, GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(setup);
        string name = Path.GetFileName(path);
        name = name[..name.IndexOf('.', StringComparison.Ordinal)].ToLowerInvariant();
        return IsName(name) ? new TestGarment { Name = name, PlatenWidth = setup.PlatenWidth, PlatenHeight = setup.PlatenHeight }
            : throw Bad(path,
                $"a new one is named for its file, and '{CleanText.Line(name, 40)}' is no name: small letters, digits and hyphens, at most {LongestName}");
    }

    /// <summary>Reads a file, or gives null where there is none.</summary>
    /// <exception cref="ProblemException">R7501 it is malformed or of a newer version.</exception>
    public static TestGarment? Read(string path)
    {
        if (!File.Exists(path))
        {
            return Directory.Exists(path) ? throw Bad(path, "it is a folder") : null;
        }

        try
        {
            byte[] bytes = OutsideFile.Read(path, Longest) ?? throw Bad(path, $"it is longer than {Longest / 1024} KB");
            return Parse(OutsideJson.Parse(bytes) ?? throw Bad(path, "it is no JSON object"), path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw Bad(path, e.Message);
        }
    }

    /// <summary>Keeps others from placing tests on the same garment meanwhile; null where writing the garment's file will tell why not.</summary>
    /// <exception cref="ProblemException">R7504 another program holds it.</exception>
    public static IDisposable? Hold(string path) => HeldFile.TryHold(path, out var hold) ? hold
        : throw new ProblemException(Codes.TestGarmentInUse, "Another program is placing tests on this garment.",
            "Try again when it is done.", new Place(path));

    /// <summary>Writes all fields in a fixed order.</summary>
    public void Write(Stream stream)
    {
        ArgumentNullException.ThrowIfNull(stream);
        var json = new JsonObject
        {
            ["schema"] = Schema,
            ["kind"] = Kind,
            ["name"] = Name,
            ["platen"] = new JsonArray(PlatenWidth, PlatenHeight),
            ["pretreated"] = Pretreated is { } place ? Of(place) : null,
            ["used"] = new JsonArray([.. Used.Select(used => new JsonObject { ["id"] = used.Id, ["place"] = Of(used.Place), ["note"] = used.Note })]),
        };
        using var writer = new StreamWriter(stream, leaveOpen: true);
        writer.Write(json.ToJsonString(Indented) + "\n");
    }

    /// <summary>A place as <c>[left,top,width,height]</c>.</summary>
    public static JsonArray Of(PlatenPlace place) => new(place.Left, place.Top, place.Width, place.Height);

    private static TestGarment Parse(JsonObject root, string path)
    {
        if (root.Text("kind") != Kind)
        {
            throw Bad(path, $"'kind' is not \"{Kind}\"");
        }

        if (Number(root["schema"], 1, 1_000_000) is not { } schema || schema > Schema)
        {
            throw Bad(path, root["schema"] is null ? "'schema' is missing" : "a newer version of the program wrote it");
        }

        RefuseUnknown(root, Known, "", path);
        if (root.Text("name") is not { } name || !IsName(name))
        {
            throw Bad(path, $"'name' takes small letters, digits and hyphens, at most {LongestName}");
        }

        if (Numbers(root["platen"], 2) is not [>= 0.5 and var width, >= 0.5 and var height])
        {
            throw Bad(path, $"'platen' takes [width, height] in inches, 0.5 to {Largest}");
        }

        var entries = root["used"] switch
        {
            null => [],
            JsonArray { Count: <= MostUsed } array => array,
            _ => throw Bad(path, $"'used' takes a list of at most {MostUsed}"),
        };
        return new TestGarment
        {
            Name = name,
            PlatenWidth = width,
            PlatenHeight = height,
            Pretreated = root["pretreated"] is { } pretreated ? PlaceOf(pretreated, "pretreated", path) : null,
            Used = [.. entries.Select((entry, i) => Entry(entry, string.Create(CultureInfo.InvariantCulture, $"used[{i}]"), path))],
        };
    }

    private static UsedPlace Entry(JsonNode? node, string name, string path)
    {
        if (node is not JsonObject entry)
        {
            throw Bad(path, $"'{name}' takes an object");
        }

        RefuseUnknown(entry, KnownUsed, name + ".", path);
        return new UsedPlace(PlaceOf(entry["place"], name + ".place", path), Text("id"), Text("note"));

        string? Text(string field) => entry[field] is null ? null
            : entry.Text(field) is { } text && text.Length <= LongestNote ? text
            : throw Bad(path, $"'{name}.{field}' takes text of at most {LongestNote} characters");
    }

    private static PlatenPlace PlaceOf(JsonNode? node, string name, string path) =>
        Numbers(node, 4) is [var left, var top, var width, var height] ? new PlatenPlace(left, top, width, height)
        : throw Bad(path, $"'{name}' takes [left, top, width, height] in inches, 0 to {Largest}");

    private static double[]? Numbers(JsonNode? node, int count)
    {
        double?[] numbers = node is JsonArray array && array.Count == count ? [.. array.Select(item => Number(item, 0, Largest))] : [];
        return numbers.Length == count && Array.TrueForAll(numbers, number => number is not null) ? [.. numbers.OfType<double>()] : null;
    }

    private static double? Number(JsonNode? node, double least, double most) =>
        node is JsonValue value && value.TryGetValue(out double number) && number >= least && number <= most ? number : null;

    private static void RefuseUnknown(JsonObject json, string[] known, string prefix, string path)
    {
        if (json.Select(field => field.Key).FirstOrDefault(field => !known.Contains(field)) is { } stray)
        {
            throw Bad(path, $"the field '{CleanText.Line(prefix + stray, 60)}' is unknown");
        }
    }

    private static bool IsName(string name) => name.Length <= LongestName && PlainName.IsOfFile(name);

    private static ProblemException Bad(string path, string what) => new(
        Codes.BadTestGarment, $"The test garment's file can't be used: {CleanText.Line(what, 200)}.",
        "docs/test-prints.md describes its fields.", new Place(path));
}
