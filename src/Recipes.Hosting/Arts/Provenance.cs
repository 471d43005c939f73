using System.Collections.Immutable;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Hosting.Arts;

/// <summary>What an exported file says of itself: from which original, step and setup it came.</summary>
/// <param name="Art">The original, as a path seen from the exported file's folder.</param>
/// <param name="ArtSha256">Its hash.</param>
/// <param name="Setup">The garment setup's name.</param>
/// <param name="Step">The step.</param>
/// <param name="StateSha256">The hash of the steps up to it.</param>
public sealed record Provenance(string Art, string ArtSha256, string Setup, int Step, string StateSha256)
{
    /// <summary>What the original's pixels went through to be read, for whoever opens the file; never read back.</summary>
    public ImmutableArray<string> Notes { get; init; } = [];

    /// <summary>What kind of art the original was; null where it isn't known. Read by itself, as <see cref="KindHint"/>.</summary>
    public ArtKind? Kind { get; init; }

    /// <summary>How far the original was resampled: <see cref="Ground.Scale"/>. Read by itself, as <see cref="KindHint"/>.</summary>
    public double Scale { get; init; } = 1;

    /// <summary>What kind of test print the file is; null for one that isn't. Read by itself.</summary>
    public TestSheet? Sheet { get; init; }

    /// <summary>The provenance of a state that is written to a file.</summary>
    public static Provenance Of(ArtState state, string output)
    {
        ArgumentNullException.ThrowIfNull(state);
        string folder = Path.GetDirectoryName(Path.GetFullPath(output))!;
        string art = Path.GetRelativePath(folder, Path.GetFullPath(state.File.Path)).Replace('\\', '/');
        return new Provenance(art, state.File.Sha256, state.Setup.Name, state.Step, state.StateSha256)
        {
            Notes = state.Identity.Notes, Kind = state.Art.Ground.Kind, Scale = state.Art.Ground.Scale, Sheet = TestSheet.Of(state),
        };
    }

    /// <summary>The text that goes into the file.</summary>
    public string ToJson()
    {
        var json = new JsonObject
        {
            ["schema"] = 1, ["art"] = Art, ["artSha256"] = ArtSha256, ["setup"] = Setup, ["step"] = Step, ["stateSha256"] = StateSha256,
        };
        if (Kind is { } kind)
        {
            json[KindHint.Field] = GroundJson.KindWord(kind);
        }

        KindHint.AddScale(json, Scale);
        if (Sheet is not null)
        {
            json[TestSheet.Field] = Sheet.Kind;
        }

        if (!Notes.IsEmpty)
        {
            json["notes"] = new JsonArray([.. Notes.Select(note => (JsonNode)note)]);
        }

        return json.ToJsonString();
    }

    /// <summary>Reads such a text; null where it isn't one. It comes from a stranger's file and decides nothing but a message.</summary>
    public static Provenance? Read(string? text)
    {
        var json = text is { Length: <= 65536 } ? OutsideJson.Parse(Encoding.UTF8.GetBytes(text)) : null;
        return Field("art") is { } art && Field("artSha256") is { } artSha256 && Field("setup") is { } setup && Field("stateSha256") is { } state
            && json!["step"] is JsonValue number && number.TryGetValue(out int step)
            ? new Provenance(art, artSha256, setup, step, state)
            : null;

        string? Field(string name) => json.Text(name) is { } content ? CleanText.Line(content, 1000) : null;
    }
}
