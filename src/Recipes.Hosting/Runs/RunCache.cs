using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Library;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Protocol;

namespace Recipes.Hosting.Runs;

/// <summary>
/// A run's result in the user's cache, under the digest of all its inputs. A commit of a dry run takes it from there, or
/// computes it again; the folder that the dry run wrote is never trusted with pixels.
/// </summary>
public static class RunCache
{
    private const int MostKept = 32;
    private const long LargestKept = 1_000_000_000;
    private static readonly UserCache Cache = new("runs", MostKept);

    /// <summary>The digest of everything that decides a run's result.</summary>
    public static string Digest(ReadyRecipe recipe, ArtState state, ParameterValues values, Guardrails guardrails)
    {
        ArgumentNullException.ThrowIfNull(recipe);
        return Digest($"recipe {recipe.Source.Name} {recipe.Source.Sha256}", state, values, guardrails);
    }

    /// <summary>The same for a list of recipes.</summary>
    public static string Digest(ReadyList list, ArtState state, Guardrails guardrails)
    {
        ArgumentNullException.ThrowIfNull(list);
        return Digest($"list {list.Identity.Name} {list.Identity.Sha256}", state, list.Given(state), guardrails);
    }

    private static string Digest(string recipe, ArtState state, ParameterValues values, Guardrails guardrails)
    {
        ArgumentNullException.ThrowIfNull(state);
        ArgumentNullException.ThrowIfNull(values);
        ArgumentNullException.ThrowIfNull(guardrails);
        var text = new StringBuilder();
        var culture = CultureInfo.InvariantCulture;
        var program = typeof(RunCache).Assembly;
        text.Append(culture, $"program {program.GetName().Version} {program.ManifestModule.ModuleVersionId} {ReadyRecipe.ToolchainSha256}\n");
        text.Append(culture, $"art {state.File.Sha256}\nstep {state.Step} {state.StateSha256}\nground {state.Art.Ground.Kind} {state.Art.Ground.Paper} "
            + $"{state.Art.Ground.Edge} {state.Art.Ground.Scale:R} {state.Art.Ground.Whole}\n");
        text.Append(culture, $"{recipe}\nsetup {state.SetupIsFallback} {SetupJson.Text(state.Setup)}");
        foreach (var (name, value) in values.Given)
        {
            text.Append(culture, $"set {name.Length} {name} {value.Length} {value}\n");
        }

        foreach (string name in Guardrails.Names)
        {
            text.Append(culture, $"guard {name} {guardrails[name]}\n");
        }

        return Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(text.ToString())));
    }

    /// <summary>The hash of a result's pixels: how a computed-again result is compared with what was shown.</summary>
    public static string ResultSha256(Artwork after)
    {
        ArgumentNullException.ThrowIfNull(after);
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        var row = new Rgba8[after.Width];
        for (int y = 0; y < after.Height; y++)
        {
            after.Flat.CopyRowTo(y, row);
            hash.AppendData(System.Runtime.InteropServices.MemoryMarshal.AsBytes(row.AsSpan()));
        }

        return Convert.ToHexStringLower(hash.GetHashAndReset());
    }

    /// <summary>Keeps a result of at most 1 GB; a larger one is computed again.</summary>
    /// <param name="digest">Of the inputs.</param>
    /// <param name="result">The result.</param>
    /// <param name="resultSha256">The hash of its pixels, kept with it so that nobody hashes them again.</param>
    public static void Put(string digest, RunResult result, string resultSha256)
    {
        ArgumentNullException.ThrowIfNull(result);
        ArgumentNullException.ThrowIfNull(resultSha256);
        var patch = ArtworkPatch.Between(result.Before, result.After);
        long length = PatchFrame.LengthOf(patch);
        if (length > LargestKept)
        {
            return;
        }

        using var stream = new MemoryStream((int)length + 4096);
        Frame.Write(stream, Frame.Bytes, Convert.FromHexString(resultSha256));
        Message.Write(stream, CachedReport.Of(result.Report));
        PatchFrame.Write(stream, patch);
        Cache.Put(digest, stream.GetBuffer().AsMemory(0, (int)stream.Length));
    }

    /// <summary>The kept result of a run from this state with the hash of its pixels, or null where there is none.</summary>
    /// <param name="digest">Of the inputs.</param>
    /// <param name="recipe">The recipe or list, which the digest covers.</param>
    /// <param name="state">The state.</param>
    /// <param name="values">The parameters.</param>
    public static (RunResult Result, string Sha256)? Get(string digest, RecipeIdentity recipe, ArtState state, ParameterValues values)
    {
        ArgumentNullException.ThrowIfNull(state);
        if (Cache.Get(digest) is not { } bytes)
        {
            return null;
        }

        try
        {
            using var stream = new MemoryStream(bytes);
            string sha256 = Convert.ToHexStringLower(Frame.Read(stream, Frame.Bytes, 32));
            var report = Message.Read<CachedReport>(stream).Whole(recipe, state, values);
            var after = WorkerAnswer.Build(() => PatchFrame.Read(stream, state.Art.Layers.Length, null).ApplyTo(state.Art)).WithGround(report.Ground);
            return (new RunResult(state.Art, after, report), sha256);
        }
        catch (FrameException)
        {
            return null;
        }
    }
}
