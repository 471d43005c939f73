namespace Recipes.Hosting;

/// <summary>Files and folders that nobody but their owner may read: keys, and customers' pixels in caches. On Windows the user's own folders do that.</summary>
public static class OwnerOnly
{
    private const UnixFileMode File = UnixFileMode.UserRead | UnixFileMode.UserWrite, Folder = File | UnixFileMode.UserExecute;

    private const UnixFileMode Others = UnixFileMode.GroupRead | UnixFileMode.GroupWrite | UnixFileMode.GroupExecute
        | UnixFileMode.OtherRead | UnixFileMode.OtherWrite | UnixFileMode.OtherExecute;

    /// <summary>True where nobody but its owner may read, write or enter it.</summary>
    public static bool Is(string path) => OperatingSystem.IsWindows() || (System.IO.File.GetUnixFileMode(path) & Others) == 0;

    /// <summary>Creates a folder, and the missing ones above it, for the owner only: what the XDG base directory specification asks for. One that exists is closed to others.</summary>
    public static void CreateFolder(string path)
    {
        if (OperatingSystem.IsWindows())
        {
            Directory.CreateDirectory(path);
        }
        else if (!Directory.Exists(path))
        {
            Directory.CreateDirectory(path, Folder);
        }
        else if (!Is(path))
        {
            System.IO.File.SetUnixFileMode(path, Folder);
        }
    }

    /// <summary>Creates a file that doesn't exist yet, open to write.</summary>
    public static FileStream CreateFile(string path) => new(path, Options(FileMode.CreateNew));

    /// <summary>How to create a file so that only its owner may read it, whatever the umask.</summary>
    internal static FileStreamOptions Options(FileMode mode)
    {
        var options = new FileStreamOptions { Mode = mode, Access = FileAccess.Write, Share = FileShare.None, BufferSize = 1 << 16 };
        if (!OperatingSystem.IsWindows())
        {
            options.UnixCreateMode = File;
        }

        return options;
    }
}
