using System.Collections.Immutable;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Setups;

/// <summary>
/// The shop's garment stock: <c>garments.json</c> beside the house configuration, and one of the user's own in the configuration folder, whose garments take
/// the place of the house's. docs/garments.md describes it; read as what anybody could have written.
/// </summary>
public static class GarmentStock
{
    private const string FileName = "garments.json";
    private const int MostGarments = 1000, MostSizes = 40, LongestText = 80;

    /// <summary>Every garment, by name; none where the shop keeps no list.</summary>
    /// <exception cref="ProblemException">R1012: a list can't be used.</exception>
    public static ImmutableSortedDictionary<string, Garment> All()
    {
        var all = ImmutableSortedDictionary.CreateBuilder<string, Garment>(StringComparer.Ordinal);
        foreach (var garment in ShopList.Read(FileName, Source, (bytes, file) => Read(bytes, file)))
        {
            all[garment.Name] = garment;
        }

        return all.ToImmutable();
    }

    /// <summary>The garment of a name, or null where the stock has none. Whoever names a setup that is none doesn't need the stock.</summary>
    /// <exception cref="ProblemException">R1012.</exception>
    public static Garment? Known(string name) => SetupStore.IsTaken(name) ? null : All().GetValueOrDefault(name);

    /// <summary>The garment that a setup was made for, or null: a setup of its name on another cloth is for another shirt.</summary>
    /// <exception cref="ProblemException">R1012.</exception>
    public static Garment? Of(GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(setup);
        return Known(setup.Name) is { } garment && garment.Cloth == setup.Garment && (garment.White || setup.Underbase == Underbase.None) ? garment : null;
    }

    /// <summary>The garment of a name.</summary>
    /// <exception cref="ProblemException">R1013 unknown; R1012.</exception>
    public static Garment Find(string name)
    {
        ArgumentNullException.ThrowIfNull(name);
        var all = All();
        return all.GetValueOrDefault(name) ?? throw new ProblemException(Codes.UnknownGarment, $"The stock has no garment '{CleanText.Line(name, 80)}'.",
            SetupStore.IsTaken(name) ? $"That is a garment setup: write --setup {name}, or 'setup' in a list of orders."
            : all.IsEmpty ? "List the shop's garments in garments.json; docs/garments.md says how." : Suggestion.Hint(name, [.. all.Keys]));
    }

    /// <summary>A garment with all its fields, and the setup that it makes.</summary>
    public static JsonObject ToJson(Garment garment)
    {
        ArgumentNullException.ThrowIfNull(garment);
        return new JsonObject
        {
            ["name"] = garment.Name, ["style"] = garment.Style, ["color"] = garment.Color, ["cloth"] = garment.Cloth.ToString(), ["fiber"] = garment.Fiber,
            ["setup"] = garment.Setup, ["white"] = garment.White,
            ["sizes"] = new JsonArray([.. garment.Sizes.Select(size => new JsonObject
            {
                ["size"] = size.Name,
                ["area"] = size.Width is null ? null : new JsonObject { ["width"] = size.Width, ["height"] = size.Height },
            })]),
            ["file"] = garment.File,
        };
    }

    /// <summary>Reads a list.</summary>
    /// <param name="json">Its bytes.</param>
    /// <param name="file">Its file, for messages.</param>
    /// <exception cref="ProblemException">R1012 with the field and what it takes.</exception>
    public static ImmutableArray<Garment> Read(ReadOnlySpan<byte> json, string file)
    {
        var source = Source(file);
        var garments = ShopList.Entries(
            json, source, new ShopListForm("garments", "stock", MostGarments, "garment"), fields => ReadGarment(fields, file), garment => garment.Name);

        // Steps are kept under a name, and one name can't be two setups.
        var setups = SetupStore.Taken();
        return garments.FirstOrDefault(garment => setups.Contains(garment.Name)) is { } taken
            ? throw source.Bad($"a garment setup is called '{taken.Name}' already; give the garment another name") : garments;
    }

    private static Garment ReadGarment(OutsideFields fields, string file)
    {
        var garment = new Garment
        {
            Name = Name(fields, "name", "small letters, digits and hyphens"),
            Style = fields.Line("style", LongestText) ?? throw fields.Bad("style", "what the garment is; it is required"),
            Color = fields.Line("color", LongestText),
            Cloth = fields.Color("cloth") ?? throw fields.Bad("cloth", "a color as \"#rrggbb\"; it is required"),
            Fiber = fields.Line("fiber", LongestText),
            Setup = Name(fields, "setup", "a garment setup's name"),
            White = fields.Flag("white") ?? true,
            Sizes = [.. fields.Objects("sizes", MostSizes).Select(ReadSize)],
            File = file,
        };
        fields.End();
        return garment.Sizes.DistinctBy(size => size.Name).Count() == garment.Sizes.Length ? garment : throw fields.Bad("sizes", "each size once");
    }

    private static GarmentSize ReadSize(OutsideFields fields)
    {
        string name = fields.Line("size", LongestText) ?? throw fields.Bad("size", "a size such as \"2XL\"; it is required");
        var area = fields.Object("area");
        var size = new GarmentSize(name, area is null ? null : Inches(area, "width"), area is null ? null : Inches(area, "height"));
        area?.End();
        fields.End();
        return size;
    }

    private static string Name(OutsideFields fields, string name, string takes) =>
        fields.Text(name, LongestText) is { } text && PlainName.IsOfFile(text) ? text : throw fields.Bad(name, $"{takes}; it is required");

    private static double Inches(OutsideFields area, string name) => area.Number(name, 0.5, 100) ?? throw area.Bad(name, "inches; it is required");

    private static OutsideSource Source(string file) => new(file, Codes.BadGarments, "The garment stock", "docs/garments.md shows a complete one.");
}
