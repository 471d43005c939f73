using System.Reflection;
using System.Runtime.Loader;
using Recipes.Checking;

namespace Recipes_Scripting_Tests;

/// <summary>
/// Neither check is decoration: with one taken away, what it stops gets through. The program has no switch for that; these
/// tests compile and run without it.
/// </summary>
public sealed class CheckLayerTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("recipes-checks").FullName;

    public static TheoryData<string> OnlySourceStops => RejectedRecipes.OnlySourceStops;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Theory]
    [MemberData(nameof(OnlySourceStops))]
    public void WithoutTheSourceCheckItPassesTheOther(string file)
    {
        string text = RejectedRecipes.Read(file).Text;
        Recipe.Compile(text).Assembly.ShouldBeNull();
        RejectedRecipes.Findings(RejectedRecipes.Unchecked(text).ShouldNotBeNull("it says nothing of having no assembly")).ShouldBeEmpty();
    }

    [Theory]
    [InlineData("System.IO.File.WriteAllText(@\"PROOF\", \"written\");")]
    [InlineData("System.Diagnostics.Process.Start(\"/bin/sh\", [\"-c\", \"echo written > 'PROOF'\"]).WaitForExit();")]
    [InlineData("var other = new System.Threading.Thread(() => System.IO.File.WriteAllText(@\"PROOF\", \"written\")); other.Start(); other.Join();")]
    [InlineData("System.Type.GetType(\"System.IO.File\").GetMethod(\"WriteAllText\", [typeof(string), typeof(string)]).Invoke(null, [@\"PROOF\", \"written\"]);")]
    [InlineData("static class Early { static Early() => System.IO.File.WriteAllText(@\"PROOF\", \"written\"); public static int One; } int one = Early.One;")]
    [InlineData("System.Environment.SetEnvironmentVariable(\"PATH\", \"\" + System.Environment.GetEnvironmentVariable(\"PATH\")); System.IO.File.Create(@\"PROOF\").Dispose();")]
    public void WithoutTheChecksAProbeHasItsEffect(string probe)
    {
        Assert.SkipWhen(probe.Contains("/bin/sh", StringComparison.Ordinal) && !File.Exists("/bin/sh"), "needs a shell");
        string proof = Path.Combine(folder, "proof.txt");
        string text = probe.Replace("PROOF", proof, StringComparison.Ordinal);

        // Both on, and each alone: nothing to run.
        Recipe.Compile(text).Assembly.ShouldBeNull();
        byte[] assembly = RejectedRecipes.Unchecked(text).ShouldNotBeNull();
        MetadataCheck.Check(assembly, "recipe", out var recipe).ShouldNotBeEmpty();
        recipe.ShouldBeNull();
        File.Exists(proof).ShouldBeFalse();

        // Both off.
        Run(assembly);
        File.Exists(proof).ShouldBeTrue();
    }

    // As the worker's loader does, which takes nothing but checked recipes.
    private static void Run(byte[] assembly)
    {
        using var image = new MemoryStream(assembly);
        new AssemblyLoadContext("unchecked").LoadFromStream(image).GetType(CheckedRecipe.ScriptClass, throwOnError: true)!
            .GetMethod("<Factory>", BindingFlags.Static | BindingFlags.Public | BindingFlags.NonPublic)!
            .CreateDelegate<Func<object?[], Task<object?>>>()(new object?[2]).GetAwaiter().GetResult();
    }
}
