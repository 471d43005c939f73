using System.Collections.Immutable;
using System.Runtime.InteropServices;
using System.Security.Cryptography;
using System.Text.Json;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Work;

/// <summary>
/// The work file beside an art: the customer's file, and for each garment setup a line of steps that can be undone. One SQLite
/// database, read as hostile data. A change is one transaction: killed at any moment, the file opens as before or after it.
/// </summary>
/// <remarks>
/// Failures are problems: <see cref="Codes.DamagedWorkFile"/>, <see cref="Codes.NewerWorkFile"/>, <see cref="Codes.WorkFileInUse"/>
/// and, from what writes, <see cref="Codes.OutputUnwritable"/>. What is common to two states of one work file object is the same
/// object in both, so differences are found by identity. Not for use by several threads at once.
/// </remarks>
public sealed partial class WorkFile : IDisposable
{
    /// <summary>The largest original, bytes.</summary>
    public const int LargestOriginal = 900_000_000;

    private readonly WorkDatabase database;
    private readonly PieceStore store;
    private readonly Piece originalState;

    private WorkFile(WorkDatabase database, PieceStore store)
    {
        this.database = database;
        this.store = store;
        (Original, originalState) = database.Guarded(() =>
        {
            _ = ReadMeta();
            return ReadOriginal();
        });
    }

    /// <summary>What is known about the customer's file.</summary>
    public OriginalInfo Original { get; }

    /// <summary>The garment setup of the last commit, undo or redo; null before the first.</summary>
    public string? LastSetup => database.Guarded(() => ReadMeta().LastSetup);

    /// <summary>The garment setups that have a line, in ordinal order.</summary>
    public ImmutableArray<string> Setups =>
        database.Guarded(() => ReadLines().Select(line => line.Setup).Order(StringComparer.Ordinal).ToImmutableArray());

    /// <summary>Opens a work file; null where there is none.</summary>
    /// <param name="path">Where it lies.</param>
    /// <param name="forWriting">
    /// False (the default) opens it for reading, which needs no right to write, unless a killed writer left it half written.
    /// </param>
    public static WorkFile? Open(string path, bool forWriting = false)
    {
        ArgumentException.ThrowIfNullOrEmpty(path);
        var database = WorkDatabase.Open(path, forWriting);
        return database is null ? null : Over(database, new PieceStore(database));
    }

    /// <summary>Makes a work file whose step 0 is <paramref name="decoded"/>, and opens it for writing.</summary>
    /// <remarks>It is built under another name and appears complete or not at all; one that is there already is never replaced.</remarks>
    /// <param name="path">Where.</param>
    /// <param name="original">The customer's file.</param>
    /// <param name="decoded">Its pixels.</param>
    /// <param name="begin">What to write before the file appears, for instance its first step.</param>
    public static WorkFile Create(string path, OriginalFile original, Artwork decoded, Action<WorkFile>? begin = null)
    {
        ArgumentException.ThrowIfNullOrEmpty(path);
        ArgumentNullException.ThrowIfNull(original);
        ArgumentNullException.ThrowIfNull(decoded);
        string full = Path.GetFullPath(path);
        string building = Path.Combine(Path.GetDirectoryName(full)!, $".{Guid.NewGuid():N}.work-new");
        try
        {
            Directory.CreateDirectory(Path.GetDirectoryName(full)!);
            PieceStore store;
            using (var database = WorkDatabase.Create(building, path))
            {
                store = new PieceStore(database);
                database.Guarded(() => Fill(database, store, original, decoded));
                begin?.Invoke(new WorkFile(database, store));
            }

            using (var stream = new FileStream(building, FileMode.Open, FileAccess.ReadWrite))
            {
                stream.Flush(flushToDisk: true);
            }

            Publish(building, full, path);
            store.Database = WorkDatabase.Open(path, forWriting: true, check: false)
                ?? throw InUse(path, "it disappeared as soon as it was made");
            return Over(store.Database, store);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new ProblemException(Codes.OutputUnwritable, $"The work file can't be written: {e.Message}",
                "Allow writing there, or keep work files elsewhere with --work DIR.", new Place(path), e);
        }
        finally
        {
            Remove(building);
        }
    }

    /// <summary>The bytes of the customer's file, checked against their hash.</summary>
    public byte[] ReadOriginalBytes() => database.Guarded(() =>
    {
        byte[] bytes = database.Query($"SELECT {WorkRow.Bounded("bytes", LargestOriginal)} FROM original", 1, row => row.Bytes(0)) is [var only]
            ? only
            : throw database.Damaged("a row is missing");
        return Hex(SHA256.HashData(bytes)) == Original.Sha256
            ? bytes
            : throw database.Damaged("the original is not what was written");
    });

    /// <summary>The artwork of a step; 0 is the original.</summary>
    /// <exception cref="ProblemException"><see cref="Codes.UnknownStep"/>: the line has no such step.</exception>
    public Artwork Read(string setup, int step) => database.Guarded(() =>
    {
        // Only the rows need one snapshot; pieces never change, and reading them without a lock lets others write.
        var state = step == 0 ? originalState : database.Snapshot(() => ReadSteps(FindLine(setup)))
            .FirstOrDefault(row => row.Step.Number == step)?.State ?? throw UnknownStep(setup, step);
        return store.Read(state);
    });

    /// <inheritdoc/>
    public void Dispose() => database.Dispose();

    private static WorkFile Over(WorkDatabase database, PieceStore store)
    {
        try
        {
            return new WorkFile(database, store);
        }
        catch
        {
            database.Dispose();
            throw;
        }
    }

    private static bool Fill(WorkDatabase database, PieceStore store, OriginalFile original, Artwork decoded) => database.Transaction(() =>
    {
        if (original.Bytes.Length > LargestOriginal)
        {
            throw new ProblemException(Codes.PictureSize, $"The file is larger than {LargestOriginal / 1_000_000} MB.",
                "Save it compressed, or without what isn't needed.");
        }

        var state = store.Write(decoded);
        string sha256 = Hex(SHA256.HashData(original.Bytes));
        string name = Kept(original.Name, LongestName, "name"), format = Kept(original.Format, LongestName, "format");
        string notes = Kept(new JsonArray([.. original.Notes.Select(note => (JsonNode?)note)]).ToJsonString(), LongestText, "list of notes");
        database.Execute("INSERT INTO original (name, sha256, format, notes, state, digest, bytes) VALUES ($1, $2, $3, $4, $5, $6, $7)",
            name, sha256, format, notes, state.Id, Digest.Of(name, sha256, format, notes, state.Hash), original.Bytes);
        database.Execute("INSERT INTO meta (version, digest) VALUES ($1, $2)", WorkSchema.Version, Digest.Of(WorkSchema.Version, null));
        return true;
    });

    // File.Move looks whether the target is there and then renames over whatever came meanwhile; a hard link never replaces.
    private static void Publish(string building, string full, string path)
    {
        if (!OperatingSystem.IsWindows() && Link(building, full) == 0)
        {
            return;
        }

        if (File.Exists(full) || Directory.Exists(full))
        {
            throw InUse(path, "another program made one at the same time");
        }

        // Windows, where moving is safe, and drives without hard links.
        try
        {
            File.Move(building, full, overwrite: false);
        }
        catch (IOException) when (File.Exists(full))
        {
            throw InUse(path, "another program made one at the same time");
        }
    }

    private static void Remove(string building)
    {
        try
        {
            File.Delete(building);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // What stays behind is a file nobody looks for.
        }
    }

    [DllImport("libc", EntryPoint = "link")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Link([MarshalAs(UnmanagedType.LPUTF8Str)] string existing, [MarshalAs(UnmanagedType.LPUTF8Str)] string created);

    // The version is read each time: another program may have added tables meanwhile.
    private (int Version, string? LastSetup) ReadMeta() => database.Query(
        $"SELECT version, {WorkRow.Bounded("last_setup", LongestName)}, digest FROM meta", 1, row =>
        {
            var meta = (Version: row.Number(0, 1, WorkSchema.Version), LastSetup: row.TextOrNull(1));
            Expect(row.Bytes(2), Digest.Of(meta.Version, meta.LastSetup));
            return meta;
        }) is [var only] ? only : throw database.Damaged("a row is missing");

    private void WriteMeta(int version, string? lastSetup) =>
        database.Execute("UPDATE meta SET version = $1, last_setup = $2, digest = $3", version, lastSetup, Digest.Of(version, lastSetup));

    private (OriginalInfo, Piece) ReadOriginal()
    {
        var rows = database.Query(
            $"""
            SELECT {WorkRow.Bounded("name", LongestName)}, {WorkRow.Bounded("sha256", 64)}, {WorkRow.Bounded("format", LongestName)},
                {WorkRow.Bounded("notes", LongestText)}, state, digest, (SELECT {WorkRow.Bounded("hash", 32)} FROM state WHERE id = original.state)
            FROM original
            """,
            1,
            row =>
            {
                string name = row.Text(0), sha256 = row.Text(1), format = row.Text(2), notes = row.Text(3);
                var state = new Piece(row.Id(4), row.Bytes(6));
                Expect(row.Bytes(5), Digest.Of(name, sha256, format, notes, state.Hash));
                var (grid, resolution) = store.ReadSize(state);
                var told = Parse(notes, JsonValueKind.Array, list => list.EnumerateArray().Select(Text).ToImmutableArray());
                return (new OriginalInfo(name, sha256, format, told, grid.Width, grid.Height, resolution), state);
            });
        return rows is [var only] ? only : throw database.Damaged("a row is missing");
    }

    // A list of texts as it was written. Read element by element: to set the serializer up takes longer than an undo.
    private T Parse<T>(string json, JsonValueKind kind, Func<JsonElement, T> read)
    {
        try
        {
            using var document = OutsideJson.Document(System.Text.Encoding.UTF8.GetBytes(json));
            return document.RootElement.ValueKind == kind ? read(document.RootElement) : throw database.Damaged("a list is not one");
        }
        catch (Exception e) when (e is JsonException or InvalidOperationException)
        {
            throw database.Damaged("a list can't be read");
        }
    }

    // The texts in it are never null, whatever JSON allows.
    private string Text(JsonElement text) => text.GetString() ?? throw database.Damaged("a list lacks an entry");

    private void Expect(byte[] written, byte[] now)
    {
        if (!written.AsSpan().SequenceEqual(now))
        {
            throw database.Damaged("a row is not what was written");
        }
    }

    private static string Hex(byte[] hash) => Convert.ToHexStringLower(hash);

    // Bounds on both sides, so that nothing is written that would be damage when it is read.
    private static string Kept(string text, int longest, string what) => System.Text.Encoding.UTF8.GetByteCount(text) <= longest
        ? text
        : throw new ProblemException(Codes.OutputUnwritable, $"The {what} is longer than a work file keeps, which is {longest} bytes.", "Shorten it.");

    private static ProblemException InUse(string path, string why) => new(
        Codes.WorkFileInUse, $"The work file is in use: {why}.", "Try again when the other program is done.", new Place(path));

    private static ProblemException UnknownStep(string setup, int step) => new(
        Codes.UnknownStep, $"Setup '{setup}' has no step {step} that can be reached.", "See the steps with 'recipes history'.");
}
