using System.Collections.Immutable;
using System.Security.Cryptography;
using Recipes.Files;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Jail;
using Recipes.Problems;
using Recipes.Protocol;
using Recipes.Work;

namespace Recipes.Hosting.Arts;

/// <summary>A customer's file: read once, never written, decoded only in a worker.</summary>
public sealed class ArtFile
{
    // What begins like no picture that is read is judged by so much of it.
    private const int Head = 4096;

    private readonly Lazy<Task<string>> hashing;

    /// <summary>A file whose hash is known.</summary>
    /// <param name="path">As given on the command line.</param>
    /// <param name="bytes">Its bytes.</param>
    /// <param name="sha256">Their hash, lower-case hex.</param>
    public ArtFile(string path, byte[] bytes, string sha256)
        : this(path, bytes, new Lazy<Task<string>>(Task.FromResult(sha256)))
    {
    }

    private ArtFile(string path, byte[] bytes, Lazy<Task<string>> hashing) => (Path, Bytes, this.hashing) = (path, bytes, hashing);

    /// <summary>As given on the command line.</summary>
    public string Path { get; }

    /// <summary>Its bytes; of what begins like no picture that is read, the first ones, by which a worker refuses it.</summary>
    public byte[] Bytes { get; }

    /// <summary>Their hash, lower-case hex. It is taken while a worker decodes the file already, so the first look may wait.</summary>
    public string Sha256 => hashing.Value.GetAwaiter().GetResult();

    /// <summary>
    /// The kind of worker that reads it, as far as its first bytes tell: <c>convert</c> for JPEG, which the converting library decodes,
    /// else <c>decode</c>, which may find that the file needs the other.
    /// </summary>
    public string Reader => ReaderOf(Bytes);

    /// <summary>The same of a file that isn't read yet, so that its worker can be started; <c>decode</c> where it can't be looked at.</summary>
    public static string ReaderAt(string path)
    {
        try
        {
            return ReaderOf(OutsideFile.Head(path, JpegStart.Length));
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return "decode";
        }
    }

    // The host reads no more of a picture than this, and a file that lies here is refused by either worker.
    private static string ReaderOf(ReadOnlySpan<byte> file) => file.StartsWith(JpegStart) ? "convert" : "decode";

    // Leading bytes of the five kinds that are read, as the decoder knows them; most of what is sent by mistake is large, a video for instance.
    private static bool IsPicture(ReadOnlySpan<byte> head) => head.StartsWith(PngStart) || head.StartsWith(JpegStart)
        || head.StartsWith("II*\0"u8) || head.StartsWith("MM\0*"u8) || head.StartsWith("II+\0"u8) || head.StartsWith("MM\0+"u8)
        || (head.Length >= 12 && head.StartsWith("RIFF"u8) && head[8..12].SequenceEqual("WEBP"u8))
        || (head.Length >= 54 && head.StartsWith("PK\u0003\u0004"u8) && head[38..54].SequenceEqual("image/openraster"u8));

    // Start of image, then the first byte of another marker (ITU-T T.81, B.2.1).
    private static ReadOnlySpan<byte> JpegStart => [0xFF, 0xD8, 0xFF];

    private static ReadOnlySpan<byte> PngStart => [0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A];

    /// <summary>Reads a customer's file, which is an original from then on.</summary>
    /// <exception cref="ProblemException">R3001 missing; R3002 unreadable; R3003 empty.</exception>
    public static ArtFile Read(string path)
    {
        Originals.Add(path);
        return ReadPicture(path);
    }

    /// <summary>Reads a picture of ours, which may be written anew.</summary>
    /// <param name="path">The file.</param>
    /// <param name="below">A folder below which it must be no link, nor lie behind one; null where the user named the file.</param>
    /// <exception cref="ProblemException">R3001 missing; R3002 unreadable; R3003 empty.</exception>
    public static ArtFile ReadPicture(string path, string? below = null)
    {
        ArgumentNullException.ThrowIfNull(path);
        var where = new Place(path);
        if (Directory.Exists(path))
        {
            throw new ProblemException(Codes.ArtUnreadable, $"{path} is a folder, not a picture.", "Name the picture file.", where);
        }

        if (!File.Exists(path))
        {
            throw new ProblemException(Codes.ArtMissing, $"There is no file {path}.", "Check the path.", where);
        }

        try
        {
            return OutsideFile.Read(path, WorkFile.LargestOriginal, below, Head, IsPicture) switch
            {
                null => throw new ProblemException(
                    Codes.PictureSize, $"{path} is larger than {WorkFile.LargestOriginal / 1_000_000} MB.", "Ask for a smaller file.", where),
                [] => throw new ProblemException(Codes.NotAPicture, $"{path} is empty, or not an ordinary file.", "Ask for the file again.", where),
                var bytes => new ArtFile(path, bytes, IsPicture(bytes) ? Hash(bytes) : new Lazy<Task<string>>(() => Task.FromResult(HashOf(path)))),
            };
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new ProblemException(Codes.ArtUnreadable, $"{path} can't be read: {e.Message}", "Check the file and its permissions.", where, e);
        }
    }

    private static string HashOf(string path)
    {
        try
        {
            return OutsideFile.Sha256(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new ProblemException(Codes.ArtUnreadable, $"{path} can't be read: {e.Message}", "Check the file and its permissions.", new Place(path), e);
        }
    }

    // It goes on while a worker decodes.
    private static Lazy<Task<string>> Hash(byte[] bytes) => new(Task.Run(() => Convert.ToHexStringLower(SHA256.HashData(bytes))));

    /// <summary>Decodes the file in a worker of its own.</summary>
    /// <exception cref="ProblemException">R3003 to R3008.</exception>
    public DecodedFile Decode(WorkerPool workers, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(workers);
        var limits = workers.Limits;
        try
        {
            try
            {
                return Decode(workers, limits.UsualMemory, cancel);
            }
            catch (WorkerException e) when (e.End == WorkerEnd.OutOfMemory && limits.MemoryForUnknownSize > limits.UsualMemory)
            {
                // Few pictures are that large, and only reading them tells.
                return Decode(workers, limits.MemoryForUnknownSize, cancel);
            }
        }
        catch (WorkerException e)
        {
            string why = e.End switch
            {
                WorkerEnd.OutOfTime => $"it took longer than {limits.Time.TotalSeconds:0.###} s",
                WorkerEnd.OutOfMemory => "it took more memory than the limit",
                WorkerEnd.ForbiddenCall => "the reader tried what it may not do, which a harmless file doesn't make it do",
                WorkerEnd.StackOverflow => "it overflowed the reader's stack",
                _ => $"the reader ended unexpectedly ({e.Message})",
            };
            throw new ProblemException(Codes.DecoderStopped, $"Reading {Path} was stopped: {why}.",
                "The file may be damaged; ask for it again, or save it anew as a plain PNG. dry-run, commit and run take --time-limit and --memory-limit.",
                new Place(Path), e);
        }
    }

    // The library that converts is loaded by another kind of worker, so that plain files don't wait for it.
    private DecodedFile Decode(WorkerPool workers, long memory, CancellationToken cancel) =>
        Ask(workers, Reader, memory, cancel) ?? Ask(workers, "convert", memory, cancel)
            ?? throw new WorkerException(WorkerEnd.BadReply, "it needs another reader than the last");

    private DecodedFile? Ask(WorkerPool workers, string mode, long memory, CancellationToken cancel)
    {
        // Where a run is to come, its worker reads the art where this one left it.
        SharedMemory? left = null;
        var decoded = workers.Ask(new WorkerJob<DecodedFile?>(mode, memory, memory,
            stream =>
            {
                Message.Write(stream, new DecodeRequest(System.IO.Path.GetFileName(Path)));
                Frame.Write(stream, Frame.Bytes, Bytes);
            },
            stream => ReadAnswer(stream, Path))
        {
            Keep = workers.Expects("run") ? memory => left = memory : null,
        }, cancel);
        if (decoded is null)
        {
            left?.Dispose();
        }
        else if (left is not null)
        {
            workers.Keep(decoded.Art, new SealedPart(left, decoded.Place.Start, decoded.Place.End));
        }

        return decoded;
    }

    /// <summary>Reads a worker's answer as what it is: data from a stranger. Null where the file needs the other kind of worker.</summary>
    /// <exception cref="FrameException">It breaks the rules.</exception>
    /// <exception cref="ProblemException">It tells a problem.</exception>
    internal static DecodedFile? ReadAnswer(Stream stream, string path)
    {
        var reply = Message.Read<DecodeReply>(stream);
        if (reply.Problems.Length > 0)
        {
            throw WorkerAnswer.Problems(reply.Problems, _ => new Place(path), "R3");
        }

        if (reply.NeedsConversion)
        {
            return null;
        }

        // Whatever layers come are a picture; how many and how large is bounded by the frame.
        long start = stream.CanSeek ? stream.Position : 0;
        var art = WorkerAnswer.Build(() => PatchFrame.Read(stream, 0, null).ApplyTo(null));
        if (art.ComposedPixels > Artwork.MostComposedPixels)
        {
            throw new FrameException("A decoded picture has more layers than are composed.");
        }

        if (art.Layers.IsEmpty || art.Layers.Any(layer => CleanText.Line(layer.Name, int.MaxValue) != layer.Name.Trim()))
        {
            throw new FrameException("A decoded picture has layers, and their names are clean.");
        }

        return new DecodedFile(
            art,
            CleanText.Line($"{reply.Format}, {reply.Mode}", 100),
            [.. reply.Notes.Take(20).Select(note => CleanText.Line(note, 300))],
            reply.Provenance is { Length: <= 65536 } text ? text : null)
        {
            Place = (start, stream.CanSeek ? stream.Position : 0),
        };
    }
}

/// <summary>A decoded picture.</summary>
/// <param name="Art">One layer named <c>original</c>; from an OpenRaster file its layers.</param>
/// <param name="Format">Format and mode in words.</param>
/// <param name="Notes">What reading it did.</param>
/// <param name="Provenance">What an export of ours wrote into the file, or null.</param>
public sealed record DecodedFile(Artwork Art, string Format, ImmutableArray<string> Notes, string? Provenance)
{
    // Where in the worker's answer the art lies.
    internal (long Start, long End) Place { get; init; }
}
