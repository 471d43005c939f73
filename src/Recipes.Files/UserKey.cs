using System.Security.Cryptography;

namespace Recipes.Files;

/// <summary>
/// A key that only this user can read, <c>cache.key</c> in the state folder: what carries a MAC under it, HMAC-SHA256, was written by this
/// user's program. It is made when it is first needed, and anew where others may read it: whoever knows it could forge.
/// </summary>
internal static class UserKey
{
    private const int Length = 32;

    /// <summary>The key, or null where there is none and none is to be made, or no place to keep one.</summary>
    /// <param name="create">True: makes one where there is none that others can't read.</param>
    /// <exception cref="IOException">It can't be read or written.</exception>
    /// <exception cref="UnauthorizedAccessException">It may not be read or written.</exception>
    public static byte[]? Find(bool create)
    {
        if (UserFolders.State is not { } folder)
        {
            return null;
        }

        string path = Path.Combine(folder, "cache.key");
        if (File.Exists(path) && !OwnerOnly.Is(path))
        {
            if (!create)
            {
                return null;
            }

            File.Delete(path);
        }

        if (!File.Exists(path))
        {
            if (!create)
            {
                return null;
            }

            Make(folder, path);
        }

        byte[] key = File.ReadAllBytes(path);
        return key.Length == Length ? key : null;
    }

    private static void Make(string folder, string path)
    {
        OwnerOnly.CreateFolder(folder);
        string temporary = $"{path}.{Guid.NewGuid():N}.tmp";
        using (var stream = OwnerOnly.CreateFile(temporary))
        {
            stream.Write(RandomNumberGenerator.GetBytes(Length));
        }

        try
        {
            File.Move(temporary, path, overwrite: false);
        }
        catch (IOException) when (File.Exists(path))
        {
            // Another process made the key first; its key is as good.
            File.Delete(temporary);
        }
    }
}
