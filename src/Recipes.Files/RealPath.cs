namespace Recipes.Files;

/// <summary>Where a path leads once every link in it is followed.</summary>
public static class RealPath
{
    private const int MostLinks = 40;

    /// <summary>The path without links; what doesn't exist yet is taken as it is written.</summary>
    public static string Of(string path) => Of(Path.GetFullPath(path), MostLinks);

    /// <summary>True where both paths lead to the same place.</summary>
    public static bool Same(string a, string b) => Comparer.Equals(Of(a), Of(b));

    /// <summary>True where a path leads into a folder, or below it.</summary>
    public static bool Within(string path, string folder)
    {
        string real = Of(path), around = Path.TrimEndingDirectorySeparator(Of(folder));
        return real.StartsWith(around, OperatingSystem.IsWindows() || OperatingSystem.IsMacOS() ? StringComparison.OrdinalIgnoreCase : StringComparison.Ordinal)
            && (real.Length == around.Length || Path.EndsInDirectorySeparator(around) || real[around.Length] == Path.DirectorySeparatorChar);
    }

    /// <summary>How this system compares names of files.</summary>
    public static StringComparer Comparer { get; } =
        OperatingSystem.IsWindows() || OperatingSystem.IsMacOS() ? StringComparer.OrdinalIgnoreCase : StringComparer.Ordinal;

    private static string Of(string full, int links)
    {
        string real = Path.GetPathRoot(full)!;
        foreach (string part in full[real.Length..].Split(Path.DirectorySeparatorChar, StringSplitOptions.RemoveEmptyEntries))
        {
            string parent = real;
            real = Path.Combine(real, part);
            FileSystemInfo info = Directory.Exists(real) ? new DirectoryInfo(real) : new FileInfo(real);
            if (info.LinkTarget is { } target)
            {
                real = links > 0 ? Of(Path.GetFullPath(target, parent), links - 1) : real;
            }
        }

        return real;
    }
}
