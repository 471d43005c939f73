using System.Collections.Frozen;
using System.Reflection;

namespace Recipes.Desk;

/// <summary>The page as it was built in: its files by name. Nothing on the disk is served, so no path leads anywhere.</summary>
internal static class PageFiles
{
    private static readonly FrozenDictionary<string, byte[]> All = Read();

    /// <summary>A file's bytes and type, or null.</summary>
    public static (byte[] Bytes, string Type)? Find(string name) => All.TryGetValue(name, out byte[]? bytes) ? (bytes, TypeOf(name)) : null;

    private static string TypeOf(string name) => Path.GetExtension(name) switch
    {
        ".html" => "text/html; charset=utf-8",
        ".css" => "text/css; charset=utf-8",
        ".js" => "text/javascript; charset=utf-8",
        ".svg" => "image/svg+xml",
        _ => "application/octet-stream",
    };

    private static FrozenDictionary<string, byte[]> Read()
    {
        var assembly = Assembly.GetExecutingAssembly();
        return assembly.GetManifestResourceNames().ToFrozenDictionary(name => name, name =>
        {
            using var stream = assembly.GetManifestResourceStream(name)!;
            var bytes = new byte[stream.Length];
            stream.ReadExactly(bytes);
            return bytes;
        });
    }
}
