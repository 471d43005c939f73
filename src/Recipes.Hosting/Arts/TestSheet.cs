using System.Text;
using System.Text.Json.Nodes;
using Recipes.Files;

namespace Recipes.Hosting.Arts;

/// <summary>A picture that the program made to be printed as a test: what it is, as its file says of itself.</summary>
/// <param name="Kind"><c>gang</c>, <c>strip</c> or <c>test-print</c>.</param>
public sealed record TestSheet(string Kind)
{
    /// <summary>Several tests on one platen.</summary>
    public static TestSheet Gang { get; } = new("gang");

    /// <summary>The main colors of an art.</summary>
    public static TestSheet Strip { get; } = new("strip");

    /// <summary>An art of which all but a box is left bare.</summary>
    public static TestSheet TestPrint { get; } = new("test-print");

    /// <summary>The field that says it, in whatever else the file says of itself.</summary>
    internal const string Field = "sheet";

    /// <summary>What a state is: an art whose step of test-print still shows, or a file that says so. Null for any other.</summary>
    public static TestSheet? Of(ArtState state)
    {
        ArgumentNullException.ThrowIfNull(state);
        return state.Steps.Any(step => step.Record.Recipe == TestPrint.Kind)
            && state.Art.Layers.Any(layer => layer.Visible && layer.Name.StartsWith("test print", StringComparison.Ordinal))
            ? TestPrint : Read(state.Provenance);
    }

    /// <summary>Reads what a file says of itself. It may be a stranger's, and decides nothing but the words of a finding.</summary>
    public static TestSheet? Read(string? text) =>
        (text is { Length: <= 65536 } ? OutsideJson.Parse(Encoding.UTF8.GetBytes(text)) : null).Text(Field) is { } kind
            ? new[] { Gang, Strip, TestPrint }.FirstOrDefault(known => known.Kind == kind)
            : null;

    /// <summary>The text that goes into a file that isn't an export.</summary>
    /// <param name="setup">The garment setup's name.</param>
    /// <param name="ids">What is printed on it, for whoever opens the file.</param>
    public string ToJson(string setup, IEnumerable<string> ids) => new JsonObject
    {
        ["schema"] = 1, [Field] = Kind, ["setup"] = setup, ["prints"] = new JsonArray([.. ids.Select(id => (JsonNode)id)]),
    }.ToJsonString();

    /// <summary>A sentence for people.</summary>
    public string InWords() => Kind switch
    {
        "gang" => "This is a gang sheet made by recipes; whites between the prints stay bare on purpose. Mend the art and gang again, never the sheet.",
        "strip" => "This is a color strip made by recipes; whites between the patches and in letters stay bare on purpose.",
        _ => "This is a test print made by recipes; whites around the box stay bare on purpose. Take test-print off before you decide about them.",
    };
}
