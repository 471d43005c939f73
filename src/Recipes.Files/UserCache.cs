using System.Security.Cryptography;
using System.Text;

namespace Recipes.Files;

/// <summary>
/// What can be computed again, kept in the user's cache folder under a key, with a MAC under a key that only the user can
/// read: what doesn't verify counts as missing. Customers' pixels are in it, so folders and files are their owner's alone. Without a home,
/// or where the folder can't be written, nothing is kept.
/// </summary>
public sealed class UserCache
{
    private const int MacLength = 32;
    private const long LargestEntry = 2_000_000_000;
    private readonly string kind;
    private readonly int mostEntries;

    /// <summary>A part of the cache that keeps its newest entries only.</summary>
    public UserCache(string kind, int mostEntries)
    {
        this.kind = kind;
        this.mostEntries = mostEntries;
    }

    /// <summary>The entry, or null where there is none that verifies.</summary>
    public byte[]? Get(string key)
    {
        if (PathOf(key) is not { } path)
        {
            return null;
        }

        try
        {
            if (UserKey.Find(create: false) is not { } macKey || !File.Exists(path) || new FileInfo(path).Length is < MacLength or > LargestEntry)
            {
                return null;
            }

            byte[] bytes = File.ReadAllBytes(path);
            byte[] content = bytes[MacLength..];
            return CryptographicOperations.FixedTimeEquals(bytes.AsSpan(0, MacLength), Mac(macKey, key, content)) ? content : null;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }

    /// <summary>Keeps an entry where that is possible; losing one costs only time.</summary>
    public void Put(string key, ReadOnlyMemory<byte> content)
    {
        if (PathOf(key) is not { } path)
        {
            return;
        }

        try
        {
            // Who may write to the folder above could put another in its place.
            OwnerOnly.CreateFolder(UserFolders.Cache!);
            OwnerOnly.CreateFolder(Path.GetDirectoryName(path)!);
            if (UserKey.Find(create: true) is not { } macKey)
            {
                return;
            }

            byte[] mac = Mac(macKey, key, content.Span);
            // What a power cut tears doesn't verify.
            AtomicFile.Write(path, stream =>
            {
                stream.Write(mac);
                stream.Write(content.Span);
            }, sync: false, ownerOnly: true);
            Prune(Path.GetDirectoryName(path)!);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or Problems.ProblemException)
        {
            Serilog.Log.Debug(e, "The cache entry was not kept");
        }
    }

    private string? PathOf(string key) => UserFolders.Cache is { } folder ? Path.Combine(folder, kind, key) : null;

    private byte[] Mac(byte[] macKey, string key, ReadOnlySpan<byte> content)
    {
        using var mac = IncrementalHash.CreateHMAC(HashAlgorithmName.SHA256, macKey);
        mac.AppendData(Encoding.UTF8.GetBytes($"{kind}/{key}\n"));
        mac.AppendData(content);
        return mac.GetHashAndReset();
    }

    private void Prune(string folder)
    {
        var old = new DirectoryInfo(folder).GetFiles().OrderByDescending(file => file.LastWriteTimeUtc).Skip(mostEntries);
        foreach (var file in old)
        {
            file.Delete();
        }
    }
}
