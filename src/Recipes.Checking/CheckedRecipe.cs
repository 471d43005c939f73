using System.Security.Cryptography;

namespace Recipes.Checking;

/// <summary>
/// A compiled recipe that passed <see cref="MetadataCheck"/>. Nothing else can make one, so whatever asks for a
/// <see cref="CheckedRecipe"/> can't be handed an unchecked assembly.
/// </summary>
public sealed class CheckedRecipe
{
    /// <summary>The name that every compiled recipe has, so that none can pass for an assembly of ours.</summary>
    public const string AssemblyName = "Recipe";

    /// <summary>The class that holds a recipe's top level; <c>Recipe</c> is one of the five names that recipes see.</summary>
    public const string ScriptClass = "Script";

    private readonly byte[] assembly;

    // The bytes are copied before they are judged: the caller's array could change between check and load.
    private CheckedRecipe(byte[] assembly)
    {
        this.assembly = assembly;
        Sha256 = Convert.ToHexStringLower(SHA256.HashData(assembly));
    }

    /// <summary>The assembly as it was judged.</summary>
    public ReadOnlyMemory<byte> Assembly => assembly;

    /// <summary>SHA-256 of the assembly, in lower-case hex.</summary>
    public string Sha256 { get; }

    /// <summary>Judges an assembly.</summary>
    /// <param name="assembly">Bytes that may come from anywhere; they are copied.</param>
    /// <param name="findings">What it may not hold; empty where it passed.</param>
    /// <returns>The checked recipe, or null where there are findings.</returns>
    internal static CheckedRecipe? Judge(ReadOnlySpan<byte> assembly, out IReadOnlyList<Finding> findings)
    {
        byte[] own = assembly.ToArray();
        findings = AssemblyJudge.Judge(own, AllowList.Current);
        return findings.Count == 0 ? new CheckedRecipe(own) : null;
    }
}
