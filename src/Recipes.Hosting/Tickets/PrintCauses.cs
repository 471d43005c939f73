using System.Collections.Immutable;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using Recipes.Files;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Hosting.Tickets;

/// <summary>Why a print can go wrong.</summary>
/// <param name="Name">How it is named: small letters, digits and hyphens.</param>
/// <param name="What">What was seen, in a sentence.</param>
/// <param name="Helps">What helps next time, a command or a few words; null where the program knows nothing.</param>
public sealed record PrintCause(string Name, string What, string? Helps)
{
    /// <summary>What helps with an art, or null.</summary>
    public string? HelpsWith(string artPath) => Helps is null ? null : Regex.Replace(Helps, @"\bART\b", _ => ShellWord.Of(artPath));

    /// <summary>The cause with all its fields.</summary>
    public JsonObject ToJson() => new() { ["name"] = Name, ["what"] = What, ["helps"] = Helps };
}

/// <summary>
/// The causes that a bad print can be told with: the program's own, and those that the shop adds in <c>causes.json</c>, which lies where its garment stock
/// does. A shop's cause takes the place of one of the same name. docs/prints.md describes the list.
/// </summary>
public static class PrintCauses
{
    private const string FileName = "causes.json";
    private const int Most = 200, LongestName = 40, LongestText = 200;

    /// <summary>The program's own.</summary>
    public static ImmutableArray<PrintCause> Shipped { get; } = ReadShipped();

    /// <summary>Every cause, the program's own first.</summary>
    /// <exception cref="ProblemException">R1014: a list can't be used.</exception>
    public static ImmutableArray<PrintCause> All()
    {
        List<PrintCause> all = [.. Shipped];
        foreach (var cause in ShopList.Read(FileName, Source, (bytes, file) => Read(bytes, file)))
        {
            int at = all.FindIndex(known => known.Name == cause.Name);
            if (at >= 0)
            {
                all[at] = cause;
            }
            else
            {
                all.Add(cause);
            }
        }

        return [.. all];
    }

    /// <summary>The cause of a name.</summary>
    /// <exception cref="ProblemException">R1015 unknown, with all that there are; R1014.</exception>
    public static PrintCause Find(string name)
    {
        ArgumentNullException.ThrowIfNull(name);
        var all = All();
        string[] names = [.. all.Select(cause => cause.Name)];
        return all.FirstOrDefault(cause => cause.Name == name) ?? throw new ProblemException(
            Codes.UnknownCause, $"There is no cause '{CleanText.Line(name, 80)}'. The causes are: {string.Join(", ", names)}.",
            Suggestion.For(name, names) is { } near ? $"Did you mean '{near}'?" : "A shop adds its own in causes.json; docs/prints.md says how.");
    }

    /// <summary>The cause that a print was told with; null where none is known by that name. What is only looked at doesn't fail for a broken list.</summary>
    public static PrintCause? Known(string? name)
    {
        try
        {
            return All().FirstOrDefault(cause => cause.Name == name);
        }
        catch (ProblemException e) when (e.Problems[0].Code == Codes.BadCauses)
        {
            return Shipped.FirstOrDefault(cause => cause.Name == name);
        }
    }

    /// <summary>Reads a list.</summary>
    /// <param name="json">Its bytes.</param>
    /// <param name="file">Its file, for messages.</param>
    /// <exception cref="ProblemException">R1014 with the field and what it takes.</exception>
    public static ImmutableArray<PrintCause> Read(ReadOnlySpan<byte> json, string file) =>
        ShopList.Entries(json, Source(file), new ShopListForm("causes", "list", Most, "cause"), ReadCause, cause => cause.Name);

    private static PrintCause ReadCause(OutsideFields fields)
    {
        var cause = new PrintCause(
            fields.Text("name", LongestName) is { } name && PlainName.Is(name)
                ? name : throw fields.Bad("name", "small letters, digits and hyphens; it is required"),
            fields.Line("what", LongestText) ?? throw fields.Bad("what", "what was seen, in a sentence; it is required"),
            fields.Line("helps", LongestText));
        fields.End();
        return cause;
    }

    private static ImmutableArray<PrintCause> ReadShipped()
    {
        using var stream = typeof(PrintCauses).Assembly.GetManifestResourceStream(FileName)!;
        using var bytes = new MemoryStream();
        stream.CopyTo(bytes);
        return Read(bytes.ToArray(), FileName);
    }

    private static OutsideSource Source(string file) => new(file, Codes.BadCauses, "The list of causes", "docs/prints.md shows a complete one.");
}
