using System.Security.Cryptography;
using Recipes.Problems;

namespace Recipes.Files;

/// <summary>
/// Writes a file whole or not at all: under a temporary name beside it, then renamed. No <see cref="Originals">original</see> is written over.
/// </summary>
public static class AtomicFile
{
    /// <summary>Writes the file.</summary>
    /// <param name="path">Where.</param>
    /// <param name="write">Writes the content.</param>
    /// <param name="replace">False: fails with exit 9 where the file exists.</param>
    /// <param name="sync">False: doesn't wait for the disk, for what may be lost or torn where the power fails, and is made again then.</param>
    /// <param name="ownerOnly">True: nobody else may read it, whatever the umask.</param>
    /// <exception cref="ProblemException">R8001 it exists; R8002 it can't be written.</exception>
    public static void Write(string path, Action<Stream> write, bool replace = true, bool sync = true, bool ownerOnly = false) =>
        Write(sync, ownerOnly, (path, write, replace));

    /// <summary>
    /// Writes files that belong together: all of them are whole under their temporary names before the first takes its place, and
    /// where one can't, those before it are put back.
    /// </summary>
    /// <param name="files">Where, the content, and whether it may take the place of an existing file.</param>
    /// <exception cref="ProblemException">R8001 one exists; R8002 one can't be written.</exception>
    public static void WriteAll(params IReadOnlyList<(string Path, Action<Stream> Write, bool Replace)> files) => Write(sync: true, ownerOnly: false, files);

    private static void Write(bool sync, bool ownerOnly, params IReadOnlyList<(string Path, Action<Stream> Write, bool Replace)> files)
    {
        ArgumentNullException.ThrowIfNull(files);
        string[] paths = [.. files.Select(file => Path.GetFullPath(file.Path))];
        string[] temporary = [.. paths.Select(path => Beside(path, "tmp"))], earlier = [.. paths.Select(path => Beside(path, "old"))];
        Array.ForEach(paths, Originals.Refuse);
        int at = 0, placed = 0;
        try
        {
            for (; at < paths.Length; at++)
            {
                using var stream = ownerOnly ? OwnerOnly.CreateFile(temporary[at])
                    : new FileStream(temporary[at], FileMode.CreateNew, FileAccess.Write, FileShare.None, 1 << 16);
                files[at].Write(stream);
                stream.Flush(flushToDisk: sync);
            }

            // The last one needs no way back.
            for (at = 0; at < paths.Length - 1; at++)
            {
                if (files[at].Replace && File.Exists(paths[at]))
                {
                    File.Copy(paths[at], earlier[at]);
                }
            }

            for (at = 0; at < paths.Length; at++, placed++)
            {
                File.Move(temporary[at], paths[at], files[at].Replace);
            }
        }
        catch (IOException) when (!files[at].Replace && File.Exists(paths[at]))
        {
            PutBack(paths, earlier, placed);
            throw Exists(paths[at]);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            PutBack(paths, earlier, placed);
            // Nobody knows the temporary file by its name.
            throw Unwritable(paths[at], e.Message.Replace(temporary[at], paths[at], StringComparison.Ordinal), e);
        }
        finally
        {
            foreach (string stray in temporary.Concat(earlier))
            {
                Remove(stray);
            }
        }

        static string Beside(string path, string kind) => Path.Combine(
            Path.GetDirectoryName(path) ?? throw Unwritable(path, "it names a drive, not a file"), $".{Path.GetFileName(path)}.{Guid.NewGuid():N}.{kind}");
    }

    /// <summary>
    /// Writes the file like <see cref="Write(string, Action{Stream}, bool, bool, bool)"/> and gives the hash of what was written, lower-case hex.
    /// </summary>
    /// <exception cref="ProblemException">R8001 it exists; R8002 it can't be written.</exception>
    public static string WriteHashed(string path, Action<Stream> write, bool replace = true, bool sync = true)
    {
        ArgumentNullException.ThrowIfNull(write);
        using var sha = SHA256.Create();
        Write(path, stream =>
        {
            using var hashing = new CryptoStream(stream, sha, CryptoStreamMode.Write, leaveOpen: true);
            write(hashing);
        }, replace, sync);
        return Convert.ToHexStringLower(sha.Hash!);
    }

    /// <summary>Creates a folder.</summary>
    /// <exception cref="ProblemException">R8002 it can't be created.</exception>
    public static void CreateFolder(string path)
    {
        try
        {
            Directory.CreateDirectory(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or NotSupportedException or ArgumentException)
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
            if (RealPath.Same(output, original) || FileIdentity.Same(output, original))
            {
                throw Originals.Refused(output, original);
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

    private static void PutBack(string[] paths, string[] earlier, int placed)
    {
        for (int i = 0; i < placed; i++)
        {
            if (File.Exists(earlier[i]))
            {
                File.Move(earlier[i], paths[i], overwrite: true);
            }
            else
            {
                Remove(paths[i]);
            }
        }
    }

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
