using System.IO.Compression;
using System.Reflection;
using System.Security.Cryptography;
using Recipes.Checking;
using Recipes.Decoders;
using Recipes.Jail;
using Recipes.Scripting;

namespace Recipes.Worker;

/// <summary>Loads everything that a job may need, since nothing can be opened once the worker is locked.</summary>
internal static class WarmUp
{
    /// <summary>Loads what a mode needs.</summary>
    public static void For(string mode)
    {
        switch (mode)
        {
            case "compile":
                Preload.Assemblies(typeof(WarmUp).Assembly, typeof(ArtDecoder).Assembly);
                RecipeCompiler.Prepare();
                LoadHashing();
                break;
            case "editor":
                Preload.Assemblies(typeof(WarmUp).Assembly, typeof(ArtDecoder).Assembly);
                EditorReferences.Prepare();
                break;
            case "run":
                // Recipes are compiled against these names, whatever assemblies hold the types at run time.
                foreach (string name in AllowList.Current.Assemblies)
                {
                    Assembly.Load(new AssemblyName(name));
                }

                Preload.Assemblies(typeof(WarmUp).Assembly, typeof(ArtDecoder).Assembly, typeof(RecipeCompiler).Assembly);
                LoadHashing();
                RunJob.Rehearse();
                break;
            case "convert":
                Preload.Assemblies(typeof(WarmUp).Assembly, typeof(RecipeCompiler).Assembly);
                ArtDecoder.PrepareConversion();
                break;
            default:
                // libvips itself is loaded by its first use, which "convert" alone makes.
                Preload.Assemblies(typeof(WarmUp).Assembly, typeof(RecipeCompiler).Assembly);
                break;
        }

        LoadCompression();
        StartThreads();
    }

    // Native libraries are opened at their first call.
    private static void LoadHashing() => _ = SHA256.HashData([]);

    private static void LoadCompression()
    {
        using var packed = new MemoryStream();
        using (var deflate = new ZLibStream(packed, CompressionLevel.Fastest, leaveOpen: true))
        {
            deflate.WriteByte(1);
        }
    }

    // The runtime's own threads: pool, timer.
    private static void StartThreads()
    {
        int count = 0;
        Parallel.For(0, 2 * Environment.ProcessorCount, _ => Interlocked.Increment(ref count));
        using var rung = new ManualResetEventSlim();
        using var timer = new Timer(_ => rung.Set(), null, 0, Timeout.Infinite);
        rung.Wait();
    }
}
