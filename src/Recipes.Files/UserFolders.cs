namespace Recipes.Files;

/// <summary>Where the user's things lie, by the XDG base directory specification; null where there is no home.</summary>
public static class UserFolders
{
    /// <summary>Settings and garment setups.</summary>
    public static string? Config => Folder("XDG_CONFIG_HOME", Environment.SpecialFolder.ApplicationData, ".config");

    /// <summary>Recipes and snippets of the user's own.</summary>
    public static string? Data => Folder("XDG_DATA_HOME", Environment.SpecialFolder.LocalApplicationData, Path.Combine(".local", "share"));

    /// <summary>What can be computed again.</summary>
    public static string? Cache => Folder("XDG_CACHE_HOME", Environment.SpecialFolder.LocalApplicationData, ".cache");

    /// <summary>Logs and the key of the cache.</summary>
    public static string? State => Folder("XDG_STATE_HOME", Environment.SpecialFolder.LocalApplicationData, Path.Combine(".local", "state"));

    private static string? Folder(string variable, Environment.SpecialFolder windows, string unix)
    {
        string? root = Environment.GetEnvironmentVariable(variable);
        // The specification: a relative path is invalid and ignored.
        if (string.IsNullOrEmpty(root) || !Path.IsPathRooted(root))
        {
            string? home = Environment.GetEnvironmentVariable("HOME");
            root = OperatingSystem.IsWindows()
                ? Environment.GetFolderPath(windows)
                : string.IsNullOrEmpty(home) ? "" : Path.Combine(home, unix);
        }

        return root.Length == 0 ? null : Path.Combine(root, "recipes");
    }
}
