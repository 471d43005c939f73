using System.Runtime.Versioning;

namespace Recipes.Files;

/// <summary>Files and folders that nobody but their owner may read: keys, and customers' pixels in caches. On Windows the user's own folders do that.</summary>
public static class OwnerOnly
{
    private const UnixFileMode File = UnixFileMode.UserRead | UnixFileMode.UserWrite, Folder = File | UnixFileMode.UserExecute;

    private const UnixFileMode Others = UnixFileMode.GroupRead | UnixFileMode.GroupWrite | UnixFileMode.GroupExecute
        | UnixFileMode.OtherRead | UnixFileMode.OtherWrite | UnixFileMode.OtherExecute;

    /// <summary>True where nobody but its owner may read, write or enter it.</summary>
    public static bool Is(string path) => OperatingSystem.IsWindows() || (System.IO.File.GetUnixFileMode(path) & Others) == 0;

    /// <summary>
    /// Creates a folder, and the missing ones above it, for the owner only: what the XDG base directory specification asks for. One that exists is closed
    /// to others.
    /// </summary>
    public static void CreateFolder(string path)
    {
        if (OperatingSystem.IsWindows())
        {
            Directory.CreateDirectory(path);
        }
        else if (!Directory.Exists(path))
        {
            Make(Path.GetFullPath(path));
        }
        else if (!Is(path))
        {
            System.IO.File.SetUnixFileMode(path, Folder);
        }
    }

    /// <summary>Creates a file that doesn't exist yet, open to write, for the owner only, whatever the umask.</summary>
    public static FileStream CreateFile(string path)
    {
        var options = new FileStreamOptions { Mode = FileMode.CreateNew, Access = FileAccess.Write, Share = FileShare.None, BufferSize = 1 << 16 };
        if (!OperatingSystem.IsWindows())
        {
            options.UnixCreateMode = File;
        }

        return new FileStream(path, options);
    }

    // The mode that a folder is made with goes for the last one alone.
    [UnsupportedOSPlatform("windows")]
    private static void Make(string path)
    {
        if (Path.GetDirectoryName(path) is { } parent && !Directory.Exists(parent))
        {
            Make(parent);
        }

        Directory.CreateDirectory(path, Folder);
    }
}
