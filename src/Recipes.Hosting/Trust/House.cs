using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Hosting.Trust;

/// <summary>A key that the house trusts, or no longer does.</summary>
/// <param name="Key">The key.</param>
/// <param name="Until">The last day of approvals that still count, for a key that was retired; null for a key in use.</param>
/// <param name="Revoked">The day on which it was revoked; nothing that it ever signed counts, whatever date it states.</param>
public sealed record HouseKey(PublicKey Key, DateOnly? Until, DateOnly? Revoked);

/// <summary>
/// What the shop demands of everyone, <c>house.json</c>: looked for in the folder <c>house</c> beside the program, then in the
/// system's configuration, and only where neither has one in RECIPES_HOUSE. No option or setup changes it.
/// </summary>
/// <param name="File">Where it was read, or null where there is none.</param>
/// <param name="RequiresApproval">True: only approved and shipped recipes may keep a result.</param>
/// <param name="Keys">The keys, revoked ones too.</param>
public sealed record House(string? File, bool RequiresApproval, ImmutableArray<HouseKey> Keys)
{
    /// <summary>The file of the house's journal, or null where everyone keeps their own.</summary>
    public string? Journal { get; init; }

    private const string FileName = "house.json";
    private const long Longest = 256 * 1024;
    private const int MostKeys = 256;

    /// <summary>A shop without rules of its own.</summary>
    public static House None { get; } = new(null, false, []);

    /// <summary>Reads the house's configuration.</summary>
    /// <exception cref="ProblemException">R6105: there is one that can't be read. It is never passed over.</exception>
    public static House Read() => Read(Places());

    internal static House Read(IEnumerable<string> folders)
    {
        foreach (string folder in folders)
        {
            string file = Path.Combine(folder, FileName);
            byte[]? bytes;
            try
            {
                bytes = OutsideFile.Read(file, Longest);
            }
            catch (Exception e) when (e is FileNotFoundException or DirectoryNotFoundException)
            {
                continue;
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                throw Bad(file, $"it can't be read: {e.Message}", e);
            }

            return Parse(file, OutsideJson.Parse(bytes) ?? throw Bad(file, "it is no JSON object of at most 256 KB"));
        }

        return None;
    }

    private static IEnumerable<string> Places()
    {
        yield return Path.Combine(ProgramFolder.Root, "house");
        yield return OperatingSystem.IsWindows()
            ? Path.Combine(Environment.GetFolderPath(Environment.SpecialFolder.CommonApplicationData), "recipes") : "/etc/recipes";
        if (Environment.GetEnvironmentVariable("RECIPES_HOUSE") is { Length: > 0 } own)
        {
            yield return own;
        }
    }

    private static House Parse(string file, JsonObject root)
    {
        Only(file, root, "house", "requireApproval", "keys", "journal");
        if (root["house"] is not JsonValue version || !version.TryGetValue(out int number) || number != 1)
        {
            throw Bad(file, "it doesn't say \"house\": 1, which is what this version reads");
        }

        if (root["requireApproval"] is not JsonValue demand || !demand.TryGetValue(out bool required))
        {
            throw Bad(file, "\"requireApproval\" is neither true nor false");
        }

        var keys = ImmutableArray.CreateBuilder<HouseKey>();
        foreach (var entry in root["keys"] switch { null => [], JsonArray { Count: <= MostKeys } array => array,
            _ => throw Bad(file, $"\"keys\" is no list of at most {MostKeys} keys") })
        {
            keys.Add(ReadKey(file, entry as JsonObject ?? throw Bad(file, "a key is no object")));
        }

        string? journal = OutsideJson.PathFrom(Path.GetDirectoryName(file)!, root.Text("journal"));
        if (root.ContainsKey("journal") && journal is null)
        {
            throw Bad(file, "\"journal\" names no file");
        }

        return keys.DistinctBy(key => key.Key.Sha256).Count() == keys.Count && keys.DistinctBy(key => key.Key.Name).Count() == keys.Count
            ? new House(file, required, keys.ToImmutable()) { Journal = journal }
            : throw Bad(file, "a key is listed twice");
    }

    private static HouseKey ReadKey(string file, JsonObject entry)
    {
        Only(file, entry, "name", "file", "until", "revoked");
        if (entry.Text("name") is not { } name || !PlainName.IsOfFile(name))
        {
            throw Bad(file, "a key has no name of small letters, digits and dashes");
        }

        if (entry.Text("file") is not { Length: > 0 and <= 100 } pem || Path.GetFileName(pem) != pem || pem.Contains('\0', StringComparison.Ordinal))
        {
            throw Bad(file, $"the key '{name}' names no \"file\" beside house.json");
        }

        string path = Path.Combine(Path.GetDirectoryName(file)!, pem);
        try
        {
            var key = PublicKey.FromPem(name, Encoding.ASCII.GetString(OutsideFile.Read(path, 16 * 1024) ?? []), new Place(path));
            return new HouseKey(key, Day(file, entry, "until"), Day(file, entry, "revoked"));
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw Bad(file, $"the file of the key '{name}' can't be read: {e.Message}", e);
        }
    }

    private static DateOnly? Day(string file, JsonObject entry, string field) =>
        !entry.ContainsKey(field) ? null
        : DateOnly.TryParseExact(entry.Text(field), "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day) ? day
        : throw Bad(file, $"\"{field}\" is no day such as 2026-11-30");

    // A misspelled demand would demand nothing.
    private static void Only(string file, JsonObject json, params string[] fields)
    {
        if (json.Select(pair => pair.Key).Except(fields).FirstOrDefault() is { } unknown)
        {
            throw Bad(file, $"it has an unknown field \"{CleanText.Line(unknown, 60)}\"");
        }
    }

    private static ProblemException Bad(string file, string why, Exception? cause = null) => new(
        Codes.BadHouse, $"The house configuration can't be used: {why}.",
        "Whoever looks after the house configuration must mend it; until then nothing is kept.", new Place(file), cause);
}
