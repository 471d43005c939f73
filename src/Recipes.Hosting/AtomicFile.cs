using Recipes.Problems;

namespace Recipes.Hosting;

/// <summary>Writes a file whole or not at all: under a temporary name beside it, then renamed.</summary>
public static class AtomicFile
{
    /// <summary>Writes the file.</summary>
    /// <param name="path">Where.</param>
    /// <param name="write">Writes the content.</param>
    /// <param name="replace">False: fails with exit 9 where the file exists.</param>
    /// <exception cref="ProblemException">R8001 it exists; R8002 it can't be written.</exception>
    public static void Write(string path, Action<Stream> write, bool replace = true)
    {
        ArgumentNullException.ThrowIfNull(write);
        path = Path.GetFullPath(path);
        string temporary = Path.Combine(
            Path.GetDirectoryName(path) ?? throw Unwritable(path, "it names a drive, not a file"),
            $".{Path.GetFileName(path)}.{Guid.NewGuid():N}.tmp");
        try
        {
            using (var stream = new FileStream(temporary, FileMode.CreateNew, FileAccess.Write, FileShare.None, 1 << 16))
            {
                write(stream);
                stream.Flush(flushToDisk: true);
            }

            File.Move(temporary, path, replace);
        }
        catch (IOException) when (!replace && File.Exists(path))
        {
            throw Exists(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw Unwritable(path, e.Message, e);
        }
        finally
        {
            Remove(temporary);
        }
    }

    /// <summary>Creates a folder.</summary>
    /// <exception cref="ProblemException">R8002 it can't be created.</exception>
    public static void CreateFolder(string path)
    {
        try
        {
            Directory.CreateDirectory(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or NotSupportedException)
        {
            throw Unwritable(path, e.Message, e);
        }
    }

    /// <summary>Refuses an output that would take the place of an original, by whatever path it is named; no option lifts it.</summary>
    /// <exception cref="ProblemException">R8001.</exception>
    public static void RefuseOriginal(string output, params ReadOnlySpan<string> originals)
    {
        foreach (string original in originals)
        {
            if (RealPath.Same(output, original))
            {
                throw new ProblemException(Codes.OutputExists, $"{original} would be written over, and an original is never written.", "Name another output.", new Place(output));
            }
        }
    }

    /// <summary>Deletes a file of ours; none is fine.</summary>
    /// <exception cref="ProblemException">R8002 it can't be deleted.</exception>
    public static void Delete(string path)
    {
        try
        {
            File.Delete(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw Unwritable(path, e.Message, e);
        }
    }

    /// <summary>The output exists and isn't ours to replace.</summary>
    public static ProblemException Exists(string path) => new(
        Codes.OutputExists, $"{path} exists already.", "Choose another name, or add --force to replace it.", new Place(path));

    private static ProblemException Unwritable(string path, string reason, Exception? cause = null) => new(
        Codes.OutputUnwritable, $"{path} can't be written: {reason}", "Check that the folder exists, may be written to, and has room.", new Place(path), cause);

    private static void Remove(string temporary)
    {
        try
        {
            File.Delete(temporary);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // A stray temporary file is harmless, and the failure that led here is the one to tell.
        }
    }
}
