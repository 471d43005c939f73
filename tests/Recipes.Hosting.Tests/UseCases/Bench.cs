using System.Security.Cryptography;
using System.Text;
using Recipes.Codecs;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Steps;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Tests.UseCases;

/// <summary>A folder of arts, and a shop whose clock stands still. Recipes run in real workers.</summary>
internal class Bench : IDisposable
{
    public const string Light = "light-garment";

    public static readonly DateTimeOffset Now = new(2026, 11, 25, 22, 15, 0, TimeSpan.Zero);

    public string Folder { get; } = Directory.CreateTempSubdirectory("recipes-bench-").FullName;

    public Shop Shop { get; } = new() { Clock = new Stopped(), Cancel = TestContext.Current.CancellationToken };

    public WorkerPool Workers { get; } = new(new WorkerLimits(TimeSpan.FromSeconds(300), null));

    public virtual void Dispose()
    {
        Workers.Dispose();
        Directory.Delete(Folder, recursive: true);
    }

    public string At(string name) => Path.Combine(Folder, name);

    public string Write(string name, string text)
    {
        Directory.CreateDirectory(Path.GetDirectoryName(At(name))!);
        File.WriteAllText(At(name), text, new UTF8Encoding(false));
        return At(name);
    }

    /// <summary>Writes a PNG of a rule; 300 ppi unless said otherwise.</summary>
    public string Draw(string name, int width, int height, Func<int, int, Rgba8> color, double ppi = 300)
    {
        var pixels = Enumerable.Range(0, width * height).Select(i => color(i % width, i / width)).ToArray();
        using var stream = File.Create(At(name));
        PngWriter.Write(stream, Plane<Rgba8>.FromContiguous(width, height, pixels), ppi);
        return At(name);
    }

    /// <summary>An art as it stands, under the setup of its last step.</summary>
    public Artwork Read(string path, string? setup = null)
    {
        using var open = OpenArt.Of(Shop, new ArtReference(path) { Setup = setup });
        return open.State(Workers).Art;
    }

    /// <summary>Keeps what a recipe does as a step.</summary>
    public Kept Commit(string recipe, string path, string? setup, params string[] sets) => ReadyRun.Find(
        Shop, new TryRequest(new RecipeRequest(recipe) { Sets = sets, ToKeep = true }, new ArtReference(path) { Setup = setup }), Workers,
        run => Keep.Run(Shop, run, Shop.WorkPathOf(path), new KeepOptions("night-shift") { Again = true }));

    /// <summary>All pixels, row by row.</summary>
    public static IEnumerable<Rgba8> Pixels(Plane<Rgba8> flat)
    {
        var row = new Rgba8[flat.Width];
        for (int y = 0; y < flat.Height; y++)
        {
            flat.CopyRowTo(y, row);
            foreach (var pixel in row)
            {
                yield return pixel;
            }
        }
    }

    /// <summary>Every file with its hash, but what lies in a home: for "as before".</summary>
    public SortedDictionary<string, string> Snapshot() => new(Directory.EnumerateFiles(Folder, "*", SearchOption.AllDirectories)
        .Select(file => Path.GetRelativePath(Folder, file)).Where(file => file.Split(Path.DirectorySeparatorChar)[0] != "home")
        .ToDictionary(file => file, file => HashOf(At(file))), StringComparer.Ordinal);

    public static string HashOf(string file) => Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(file)));

    public static Problem Refused(Func<object?> act) => Should.Throw<ProblemException>(() => { act(); }).Problems[0];

    private sealed class Stopped : TimeProvider
    {
        public override DateTimeOffset GetUtcNow() => Now;
    }
}
