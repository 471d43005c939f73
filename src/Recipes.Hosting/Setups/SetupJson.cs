using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Setups;

/// <summary>Reads and writes garment setups as JSON; the fields are described in docs/setups.md.</summary>
public static class SetupJson
{
    /// <summary>The longest file of a setup, in bytes.</summary>
    public const int Longest = 64 * 1024;

    private static readonly JsonSerializerOptions Indented = new() { WriteIndented = true, NewLine = "\n" };

    /// <summary>Reads a setup; everything but the platen has a default.</summary>
    /// <exception cref="ProblemException">R1007 with the field and what it takes.</exception>
    public static GarmentSetup Read(ReadOnlySpan<byte> json, string file, string defaultName)
    {
        if (json.Length > Longest)
        {
            throw Bad(file, "the file is longer than 64 KB");
        }

        var setup = OutsideFields.Read(json, Source(file), root => ReadFields(root, defaultName));
        Validate(setup, file);
        return setup;
    }

    /// <summary>All fields, defaults included, in a fixed order.</summary>
    public static JsonObject ToJson(GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(setup);
        return new JsonObject
        {
            ["name"] = setup.Name,
            ["garment"] = setup.Garment.ToString(),
            ["platen"] = new JsonObject { ["width"] = setup.PlatenWidth, ["height"] = setup.PlatenHeight },
            ["ppi"] = setup.PixelsPerInch,
            ["bare"] = new JsonObject { ["white"] = setup.Ink.WhiteBare, ["black"] = setup.Ink.BlackBare, ["transparent"] = setup.Ink.TransparentBare },
            ["brightestWhite"] = setup.Ink.BrightestWhite.ToString(),
            ["darkestBlack"] = setup.Ink.DarkestBlack.ToString(),
            ["bareAs"] = EnumWord.Of(setup.Ink.BareAs),
            ["underbase"] = EnumWord.Of(setup.Underbase),
            ["safeMargin"] = setup.SafeMargin,
            ["inkLot"] = setup.InkLot,
            ["pretreatment"] = setup.Pretreatment,
            ["chart"] = setup.Chart is { } chart ? new JsonObject { ["file"] = chart.File, ["sha256"] = chart.Sha256, ["date"] = chart.Date } : null,
            ["ink"] = setup.InkConstants is { } ink
                ? new JsonObject { ["gramsPerSquareMeter"] = ink.GramsPerSquareMeter, ["gramsPerMilliliter"] = ink.GramsPerMilliliter } : null,
        };
    }

    /// <summary>The JSON text of <see cref="ToJson"/>, indented, ending with a newline.</summary>
    public static string Text(GarmentSetup setup) => ToJson(setup).ToJsonString(Indented) + "\n";

    private static GarmentSetup ReadFields(OutsideFields root, string defaultName)
    {
        var platen = root.Object("platen") ?? throw root.Bad("platen", "an object with 'width' and 'height' in inches; it is required");
        var bare = root.Object("bare");
        var chart = root.Object("chart");
        var ink = root.Object("ink");
        var rules = new InkRules();
        var setup = new GarmentSetup
        {
            Name = root.Text("name", 80) ?? defaultName,
            Garment = root.Color("garment") ?? Rgba8.White,
            PlatenWidth = platen.Number("width", 0.5, 100) ?? throw platen.Bad("width", "inches; it is required"),
            PlatenHeight = platen.Number("height", 0.5, 100) ?? throw platen.Bad("height", "inches; it is required"),
            PixelsPerInch = root.Number("ppi", 10, 4800) ?? 300,
            Ink = rules with
            {
                WhiteBare = bare?.Flag("white") ?? true,
                BlackBare = bare?.Flag("black") ?? false,
                TransparentBare = bare?.Flag("transparent") ?? true,
                BrightestWhite = root.Color("brightestWhite") ?? rules.BrightestWhite,
                DarkestBlack = root.Color("darkestBlack") ?? rules.DarkestBlack,
                BareAs = root.Word<BareAs>("bareAs") ?? BareAs.Both,
            },
            Underbase = root.Word<Underbase>("underbase") ?? Underbase.Machine,
            SafeMargin = root.Number("safeMargin", 0, 10) ?? 0.25,
            InkLot = root.Text("inkLot", 200),
            Pretreatment = root.Text("pretreatment", 200),
            Chart = chart is null ? null : new ChartReference(
                chart.Text("file", 1000) ?? throw chart.Bad("file", "a file name; it is required"), chart.Text("sha256", 64), chart.Text("date", 10)),
            InkConstants = ink is null ? null : new InkConstants(ink.Number("gramsPerSquareMeter", 0, 1000), ink.Number("gramsPerMilliliter", 0.1, 10)),
        };
        platen.End();
        bare?.End();
        chart?.End();
        ink?.End();
        root.End();
        return setup;
    }

    private static void Validate(GarmentSetup setup, string file)
    {
        if (!PlainName.IsOfFile(setup.Name))
        {
            throw Bad(file, $"'name' takes small letters, digits and hyphens, not '{CleanText.Line(setup.Name, 40)}'");
        }

        // What a platen takes inside its margin divides sizes.
        if (2 * setup.SafeMargin >= Math.Min(setup.PlatenWidth, setup.PlatenHeight))
        {
            throw Bad(file, string.Create(CultureInfo.InvariantCulture,
                $"'safeMargin' of {setup.SafeMargin:0.###} in leaves nothing of a platen of {setup.PlatenWidth:0.###} x {setup.PlatenHeight:0.###} in"));
        }

        if (setup.Ink.StateOf(setup.Ink.BrightestWhite) != InkState.Prints)
        {
            throw Bad(file, $"'brightestWhite' {setup.Ink.BrightestWhite} would stay bare under this setup");
        }

        if (setup.Ink.StateOf(setup.Ink.DarkestBlack) != InkState.Prints)
        {
            throw Bad(file, $"'darkestBlack' {setup.Ink.DarkestBlack} would stay bare under this setup");
        }

        // A mid gray stands for any printing pixel.
        if (setup.Ink.StateOf(setup.Ink.Bared(new Rgba8(128, 128, 128))) == InkState.Prints)
        {
            throw Bad(file, $"'bareAs' {EnumWord.Of(setup.Ink.BareAs)} would print under this setup");
        }
    }

    private static ProblemException Bad(string file, string what) => Source(file).Bad(what);

    private static OutsideSource Source(string file) =>
        new(file, Codes.BadSetup, "The garment setup", "'recipes setups show light-garment' prints a complete one.");
}
