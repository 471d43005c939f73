using System.Collections.Immutable;
using System.Text;
using Recipes.Files;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Words;
using Recipes.Problems;
using Serilog;

namespace Recipes.Hosting.Journals;

/// <summary>What was read of a journal.</summary>
/// <param name="Path">The file, or null where there can be none.</param>
/// <param name="Entries">The wanted entries, oldest first; of very many the newest.</param>
/// <param name="LeftOut">How many older ones were wanted and left out.</param>
/// <param name="Damaged">A warning for each line that can't be read, the first of them; then one for the others.</param>
public sealed record JournalReading(string? Path, ImmutableArray<JournalEntry> Entries, long LeftOut, ImmutableArray<Problem> Damaged);

/// <summary>
/// The journal of the house: a line of JSON for everything that was kept, taken back, written or installed. The file is only ever
/// appended to. The work file decides what an art is; the journal says where to look.
/// </summary>
public static class Journal
{
    /// <summary>The journal's file in the user's data folder, where the house names none.</summary>
    public const string FileName = "journal.jsonl";

    private const int LongestLine = 64 * 1024, MostEntries = 10_000, MostBytes = 8 * 1024 * 1024, MostDamaged = 20;

    // A reader of a long journal holds it for seconds.
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(10);

    /// <summary>Where the journal lies: where the house says, else in the user's data folder; null where there is no home.</summary>
    /// <exception cref="ProblemException">R6105: the house's configuration can't be read.</exception>
    public static string? Find() => House.Read().Journal ?? Own;

    private static string? Own => UserFolders.Data is { } data ? Path.Combine(data, FileName) : null;

    /// <summary>
    /// Writes down what was done. What can't be written is a warning, no failure: the work is done by then and rightly so, and a
    /// full share mustn't stop the press.
    /// </summary>
    /// <returns>The warning, or null.</returns>
    public static Problem? Note(params IReadOnlyList<JournalEntry> entries)
    {
        try
        {
            if (entries.Count > 0 && House.Read().Journal is { } shared)
            {
                Append(shared, entries, Patience, isShared: true);
            }
            else if (entries.Count > 0 && Own is { } own)
            {
                Append(own, entries, Patience);
            }

            return null;
        }
        catch (ProblemException e)
        {
            var cause = e.Problems[0];
            return new Problem(Codes.JournalUnwritable, $"What was done is not in the journal: {cause.Message}", cause.Hint, cause.Where, Severity.Warning);
        }
        finally
        {
            foreach (var entry in entries)
            {
                Log.Information("Journal: {What} by {By}, recipe {Recipe} version {Version} {Sha256}, art {Art}, step {Step}",
                    EnumWord.Of(entry.Act), entry.By, entry.Recipe?.Name, entry.Recipe?.Version, entry.Recipe?.Sha256, entry.Art?.Name, entry.Step);
            }
        }
    }

    /// <summary>Appends lines: all of them, or none. Who else writes meanwhile is waited for.</summary>
    /// <param name="path">The journal; it and its folder are made where there are none.</param>
    /// <param name="entries">The entries.</param>
    /// <param name="patience">How long to wait for others.</param>
    /// <param name="isShared">True: a new file gets the permissions that new files have here; false: only its owner reads it.</param>
    /// <exception cref="ProblemException">R6301; R8001 it leads to an art that this command reads.</exception>
    public static void Append(string path, IReadOnlyList<JournalEntry> entries, TimeSpan patience, bool isShared = false)
    {
        ArgumentNullException.ThrowIfNull(entries);
        byte[] lines = Encoding.UTF8.GetBytes(string.Concat(entries.Select(entry => $"{entry}\n")));
        try
        {
            Directory.CreateDirectory(Path.GetDirectoryName(Path.GetFullPath(path))!);
            // In a folder of all shifts, anybody may have put a link in its place.
            Originals.Refuse(path);
            using var stream = OpenAlone(path, patience, isShared);
            long end = stream.Length;
            try
            {
                // A line that a power cut left unfinished must not take this one with it.
                stream.Seek(0, SeekOrigin.End);
                stream.Write([.. EndsOpen(stream) ? "\n"u8 : [], .. lines]);
                stream.Flush(flushToDisk: true);
            }
            catch (IOException)
            {
                CutBack(stream, end);
                throw;
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or NotSupportedException)
        {
            throw new ProblemException(Codes.JournalUnwritable, $"{path} can't be written: {e.Message}",
                "Check that the folder exists, may be written to, and has room.", new Place(path), e);
        }
    }

    /// <summary>Reads the house's journal; empty where there is none yet.</summary>
    /// <exception cref="ProblemException">R6105 the house's configuration can't be read; R6302 the journal can't be read.</exception>
    public static JournalReading Read(Func<JournalEntry, bool> wanted) => Find() is { } path ? Read(path, wanted) : new JournalReading(null, [], 0, []);

    /// <summary>The entries whose line holds a text, a hash for instance; none where the journal can't be read, which whoever asks for it is told.</summary>
    /// <param name="text">The text, in ASCII. A line without it isn't looked at further, so that a long journal costs little.</param>
    /// <param name="wanted">Which of them.</param>
    public static ImmutableArray<JournalEntry> Holding(string text, Func<JournalEntry, bool> wanted)
    {
        ArgumentNullException.ThrowIfNull(text);
        ArgumentNullException.ThrowIfNull(wanted);
        byte[] sought = Encoding.ASCII.GetBytes(text);
        try
        {
            var lines = Find() is { } path ? Lines(path) : [];
            var found = lines.Select(line => line.Line is { } bytes && bytes.AsSpan().IndexOf(sought) >= 0 ? JournalEntry.Parse(bytes).Entry : null);
            return [.. found.OfType<JournalEntry>().Where(wanted).TakeLast(MostEntries)];
        }
        catch (ProblemException e)
        {
            Log.Debug(e, "The journal couldn't be looked at");
            return [];
        }
    }

    /// <summary>Reads a journal that anybody could have written to. What isn't a line of ours is told, and the rest is used.</summary>
    /// <exception cref="ProblemException">R6302: it can't be read.</exception>
    public static JournalReading Read(string path, Func<JournalEntry, bool> wanted)
    {
        ArgumentNullException.ThrowIfNull(wanted);
        // Ordinary lines have 450 bytes; a stranger's have more, and mustn't take the machine's memory.
        var found = new Queue<(JournalEntry Entry, int Bytes)>();
        long kept = 0;
        var damaged = ImmutableArray.CreateBuilder<Problem>();
        long leftOut = 0, bad = 0;
        int number = 0;
        foreach (var (line, isWhole) in Lines(path))
        {
            number++;
            var (entry, why) = line is null ? (null, $"it is longer than {LongestLine / 1024} KB") : JournalEntry.Parse(line);
            if (entry is null)
            {
                if (++bad <= MostDamaged)
                {
                    damaged.Add(Warning(number, isWhole ? $"The line is left out: {why}." : "The last line is left out: it was cut short."));
                }
            }
            else if (wanted(entry))
            {
                found.Enqueue((entry, line!.Length));
                kept += line.Length;
                while (found.Count > MostEntries || kept > MostBytes)
                {
                    kept -= found.Dequeue().Bytes;
                    leftOut++;
                }
            }
        }

        if (bad > MostDamaged)
        {
            damaged.Add(Warning(number, $"{bad - MostDamaged} further lines are left out."));
        }

        return new JournalReading(path, [.. found.Select(one => one.Entry)], leftOut, damaged.ToImmutable());

        Problem Warning(int line, string message) => new(Codes.JournalUnreadable, message,
            "The other lines were used. Look at that line, and keep the file as it is.", new Place(path, line, 1), Severity.Warning);
    }

    // Every line without its line feed, null where it is too long, and whether a line feed ended it.
    private static IEnumerable<(byte[]? Line, bool IsWhole)> Lines(string path)
    {
        using var stream = OpenToRead(path);
        if (stream is null)
        {
            yield break;
        }

        byte[] buffer = new byte[LongestLine];
        var line = new MemoryStream();
        // What is appended while this reads is for the next time, so that a file without end has one.
        for (long left = stream.Length; left > 0;)
        {
            int read = Take(stream, buffer.AsSpan(0, (int)Math.Min(buffer.Length, left)));
            if (read == 0)
            {
                break;
            }

            left -= read;
            for (int at = 0; at < read;)
            {
                int length = buffer.AsSpan(at, read - at).IndexOf((byte)'\n');
                bool ends = length >= 0;
                length = ends ? length : read - at;
                if (line.Length <= LongestLine)
                {
                    line.Write(buffer, at, length);
                }

                at += length + (ends ? 1 : 0);
                if (ends)
                {
                    yield return (Whole(line), true);
                    line.SetLength(0);
                }
            }
        }

        if (line.Length > 0)
        {
            yield return (Whole(line), false);
        }

        static byte[]? Whole(MemoryStream line) => line.Length <= LongestLine ? line.ToArray() : null;

        int Take(FileStream from, Span<byte> into)
        {
            try
            {
                return from.Read(into);
            }
            catch (IOException e)
            {
                throw Unreadable(path, e);
            }
        }
    }

    private static FileStream? OpenToRead(string path)
    {
        try
        {
            // Pipes and devices have no length, and opening one waits for its other end.
            var file = new FileInfo(path);
            return (file.ResolveLinkTarget(returnFinalTarget: true) as FileInfo ?? file) is not { Exists: true, Length: > 0 } && !Directory.Exists(path)
                ? null
                : Patiently(Patience, () => new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite));
        }
        catch (Exception e) when (e is FileNotFoundException or DirectoryNotFoundException)
        {
            return null;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw Unreadable(path, e);
        }
    }

    // Alone: on Unix a lock that all programs keep to which ask for one, on Windows one that the system holds.
    private static FileStream OpenAlone(string path, TimeSpan patience, bool isShared)
    {
        var options = new FileStreamOptions { Mode = FileMode.OpenOrCreate, Access = FileAccess.ReadWrite, Share = FileShare.None, BufferSize = 0 };
        if (!isShared && !OperatingSystem.IsWindows())
        {
            options.UnixCreateMode = UnixFileMode.UserRead | UnixFileMode.UserWrite;
        }

        var stream = Patiently(patience, () => new FileStream(path, options));
        if (!stream.CanSeek)
        {
            stream.Dispose();
            throw new IOException("It is no ordinary file.");
        }

        return stream;
    }

    private static FileStream Patiently(TimeSpan patience, Func<FileStream> open)
    {
        long start = Environment.TickCount64;
        while (true)
        {
            try
            {
                return open();
            }
            catch (IOException e) when (HeldFile.IsInUse(e) && Environment.TickCount64 - start < patience.TotalMilliseconds)
            {
                Thread.Sleep(10);
            }
        }
    }

    private static void CutBack(FileStream stream, long end)
    {
        try
        {
            stream.SetLength(end);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or NotSupportedException or ArgumentException)
        {
            // Half a line stays; whoever writes next ends it, and whoever reads says so.
            Log.Debug(e, "The journal couldn't be cut back");
        }
    }

    private static bool EndsOpen(FileStream stream)
    {
        if (stream.Length == 0)
        {
            return false;
        }

        stream.Seek(-1, SeekOrigin.End);
        return stream.ReadByte() != '\n';
    }

    private static ProblemException Unreadable(string path, Exception cause) => new(
        Codes.JournalUnreadable, $"The journal can't be read: {cause.Message}", "Check the file and its permissions.", new Place(path), cause);
}
