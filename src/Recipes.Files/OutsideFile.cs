using System.Security.Cryptography;
using Recipes.Problems;

namespace Recipes.Files;

/// <summary>A file that anybody could have put there: bounded before it is read, and never waited for.</summary>
public static class OutsideFile
{
    /// <summary>Its bytes, or null where there are more than <paramref name="longest"/>; none of a pipe or a device.</summary>
    /// <param name="path">The file.</param>
    /// <param name="longest">The most bytes.</param>
    /// <param name="below">
    /// A folder around it, below which no link is followed: what lies there may be a stranger's, and a link of theirs leads to a file of the user's.
    /// Null where the user named the file.
    /// </param>
    /// <exception cref="IOException">It is missing, can't be read, or is a link or behind one.</exception>
    /// <exception cref="UnauthorizedAccessException">It is a folder, or may not be read.</exception>
    public static byte[]? Read(string path, long longest, string? below = null)
    {
        using var stream = Open(path, below);
        return stream is null ? [] : stream.Length > longest ? null : Take(stream, stream.Length);
    }

    /// <summary>The same where its first bytes are wanted ones; else these alone.</summary>
    /// <param name="path">The file.</param>
    /// <param name="longest">The most bytes.</param>
    /// <param name="below">A folder around it, below which no link is followed; null where the user named the file.</param>
    /// <param name="head">How many bytes are looked at first.</param>
    /// <param name="isWanted">Judges them.</param>
    /// <exception cref="IOException">It is missing, can't be read, or is a link or behind one.</exception>
    /// <exception cref="UnauthorizedAccessException">It is a folder, or may not be read.</exception>
    public static byte[]? Read(string path, long longest, string? below, int head, Func<ReadOnlySpan<byte>, bool> isWanted)
    {
        using var stream = Open(path, below);
        if (stream is null || stream.Length > longest)
        {
            return stream is null ? [] : null;
        }

        byte[] first = Take(stream, Math.Min(stream.Length, head));
        if (!isWanted(first))
        {
            return first;
        }

        stream.Position = 0;
        return Take(stream, stream.Length);
    }

    /// <summary>At most so many of its first bytes; none of a pipe or a device.</summary>
    /// <exception cref="IOException">It is missing, or can't be read.</exception>
    /// <exception cref="UnauthorizedAccessException">It is a folder, or may not be read.</exception>
    public static byte[] Head(string path, long most)
    {
        using var stream = Open(path);
        return stream is null ? [] : Take(stream, Math.Min(stream.Length, most));
    }

    /// <summary>The hash of all its bytes, lower-case hex; of none where it is a pipe or a device.</summary>
    /// <exception cref="IOException">It is missing, or can't be read.</exception>
    /// <exception cref="UnauthorizedAccessException">It is a folder, or may not be read.</exception>
    /// <param name="path">The file.</param>
    /// <param name="longest">How many bytes it may have; a longer one can't be read.</param>
    public static string Sha256(string path, long longest = long.MaxValue)
    {
        using var stream = Open(path);
        if (stream?.Length > longest)
        {
            throw new IOException("It is too long.");
        }

        return Convert.ToHexStringLower(stream is null ? SHA256.HashData([]) : SHA256.HashData(stream));
    }

    private static FileStream? Open(string path, string? below = null)
    {
        if (below is not null)
        {
            return UnlinkedFile.Open(path, below);
        }

        var file = new FileInfo(path);
        // Pipes and devices have no length, and opening one waits for its other end.
        return (file.ResolveLinkTarget(returnFinalTarget: true) as FileInfo ?? file) is { Exists: true, Length: 0 }
            ? null : new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.Read);
    }

    private static byte[] Take(FileStream stream, long length)
    {
        // It may shrink or grow meanwhile; what is read stays within what was looked at.
        byte[] bytes = new byte[length];
        int read = stream.ReadAtLeast(bytes, bytes.Length, throwOnEndOfStream: false);
        return read == bytes.Length ? bytes : bytes[..read];
    }

    /// <summary>The files of a folder that somebody named.</summary>
    /// <exception cref="ProblemException">R3001 it can't be read.</exception>
    public static string[] In(string folder, string pattern)
    {
        try
        {
            return Directory.GetFiles(folder, pattern);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new ProblemException(Codes.ArtMissing, $"The folder {folder} can't be read: {e.Message}", "Check its permissions.", new Place(folder));
        }
    }
}
