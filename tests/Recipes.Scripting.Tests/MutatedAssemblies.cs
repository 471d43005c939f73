using System.Reflection.Metadata.Ecma335;
using System.Reflection.PortableExecutable;
using Mono.Cecil;
using Recipes.Checking;

namespace Recipes_Scripting_Tests;

/// <summary>
/// Compiled honest recipes, damaged: bytes flipped, tokens changed, rows of the metadata swapped and copied, pieces moved, the
/// end cut off. Each is refused or accepted, and what is accepted names nothing but what the list permits, by a walk of another
/// library's (Mono.Cecil). <c>RECIPES_FUZZ=all</c> runs 10,000 instead of 100.
/// </summary>
public class MutatedAssemblies
{
    private const int Seed = 20261125;

    // Widths of a few rows are enough: what matters is that whole rows move, and that they move by other widths, too.
    private static readonly int[] Widths = [2, 4, 6, 8, 10, 12, 14, 18, 22];

    private static readonly Lazy<byte[][]> Seeds = new(() =>
        [.. HonestRecipes.Files.Select(file => Recipe.Compile(File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "Honest", (string)file))).Assembly!)]);

    private static int Count => Environment.GetEnvironmentVariable("RECIPES_FUZZ") == "all" ? 10_000 : 100;

    [Fact]
    public void AreRefusedOrStillHarmless()
    {
        int refused = 0, accepted = 0;
        var unread = new List<string>();
        for (int i = 0; i < Count; i++)
        {
            // Each has a seed of its own, so that one can be tried again alone.
            var random = new Random(Seed + i);
            byte[] mutant = Mutated(Seeds.Value[i % Seeds.Value.Length], random);
            var problems = MetadataCheck.Check(mutant, "recipe", out var recipe);
            problems.IsEmpty.ShouldBe(recipe is not null, $"mutant {i}");
            if (recipe is null)
            {
                refused++;
                continue;
            }

            accepted++;
            var (named, failure) = Named(recipe.Assembly.ToArray());
            if (failure is not null)
            {
                unread.Add($"mutant {i}: {failure}");
            }

            named.Where(id => AllowList.Current.Of(id) == Use.Nobody).ShouldBeEmpty($"mutant {i}");
        }

        TestContext.Current.TestOutputHelper?.WriteLine($"{Count} mutants: {refused} refused, {accepted} accepted; the other library couldn't read {unread.Count} of them to the end.");
        unread.ForEach(TestContext.Current.TestOutputHelper!.WriteLine);
        refused.ShouldBeGreaterThan(Count / 4);
        accepted.ShouldBeGreaterThan(Count / 50);
        unread.Count.ShouldBeLessThanOrEqualTo(accepted / 100);
    }

    [Fact]
    public void TheOtherWalkSeesWhatHonestRecipesName()
    {
        // The control: a walk that saw nothing would find nothing wrong.
        foreach (byte[] seed in Seeds.Value)
        {
            var (named, failure) = Named(seed);
            failure.ShouldBeNull();
            named.Count.ShouldBeGreaterThan(20);
            named.ShouldContain("M:Recipes.Api.Reporter.Note(System.String)");
            named.ShouldAllBe(id => AllowList.Current.Of(id) != Use.Nobody);
        }
    }

    [Fact]
    public void TheOtherWalkSeesWhatHostileCodeNames() =>
        Named(File.ReadAllBytes(typeof(AllowList).Assembly.Location)).Ids.Where(id => AllowList.Current.Of(id) == Use.Nobody).ShouldNotBeEmpty();

    private static byte[] Mutated(byte[] seed, Random random)
    {
        byte[] bytes = [.. seed];
        using var image = new PEReader(new MemoryStream(seed));
        int metadata = image.PEHeaders.MetadataStartOffset, size = image.PEHeaders.MetadataSize;
        var (tables, tablesSize) = Tables(image);
        for (int n = random.Next(1, 5); n > 0; n--)
        {
            // Most damage goes where it gets past the first look.
            int at = random.Next(4) switch
            {
                0 => random.Next(bytes.Length),
                1 => metadata + random.Next(size),
                _ => metadata + tables + random.Next(tablesSize),
            };
            at = Math.Min(at, bytes.Length - 1);
            int width = Widths[random.Next(Widths.Length)];
            switch (random.Next(9))
            {
                case 0:
                    bytes[at] = (byte)random.Next(256);
                    break;
                case 1:
                    bytes[at] ^= (byte)(1 << random.Next(8));
                    break;
                case 2:
                    bytes[at]++;
                    break;
                // A row over another, and two rows swapped.
                case 3 when at + (2 * width) <= bytes.Length:
                    bytes.AsSpan(at, width).CopyTo(bytes.AsSpan(at + width));
                    break;
                case 4 when at + (2 * width) <= bytes.Length:
                    byte[] row = bytes[at..(at + width)];
                    bytes.AsSpan(at + width, width).CopyTo(bytes.AsSpan(at));
                    row.CopyTo(bytes.AsSpan(at + width));
                    break;
                // A piece from elsewhere.
                case 5 when at + width <= bytes.Length:
                    int from = random.Next(bytes.Length - width);
                    bytes.AsSpan(from, width).CopyTo(bytes.AsSpan(at));
                    break;
                // A call's token: the next or another row of the same table, or of another table.
                case 6:
                    Retarget(bytes, image, random);
                    break;
                case 7:
                    Rename(bytes, metadata, size, random);
                    break;
                case 8 when random.Next(8) == 0:
                    return bytes[..random.Next(bytes.Length)];
            }
        }

        return bytes;
    }

    private static (int Offset, int Size) Tables(PEReader image)
    {
        var reader = System.Reflection.Metadata.PEReaderExtensions.GetMetadataReader(image);
        int first = reader.GetTableMetadataOffset(TableIndex.Module);
        return (first, reader.GetTableMetadataOffset(TableIndex.GenericParamConstraint) - first + 1);
    }

    // 0x28 call, 0x6F callvirt, 0x73 newobj, 0x8D newarr, 0xD0 ldtoken, 0x74 castclass: the four bytes behind are a token.
    private static void Retarget(byte[] bytes, PEReader image, Random random)
    {
        int start = random.Next(image.PEHeaders.MetadataStartOffset);
        for (int i = start; i + 4 < image.PEHeaders.MetadataStartOffset; i++)
        {
            if (bytes[i] is 0x28 or 0x6F or 0x73 or 0x8D or 0xD0 or 0x74 && bytes[i + 4] is 0x0A or 0x06 or 0x01 or 0x02 or 0x1B or 0x2B && bytes[i + 3] == 0)
            {
                bytes[i + 1] = (byte)random.Next(64);
                if (random.Next(6) == 0)
                {
                    bytes[i + 4] = (byte)random.Next(0x30);
                }

                return;
            }
        }
    }

    // A name becomes that of something that recipes may not use.
    private static void Rename(byte[] bytes, int metadata, int size, Random random)
    {
        (string From, string To)[] names =
        [
            ("ToString", "GetType\0"), ("Equals\0", "GetType"), ("System.Linq\0", "System.Net1\0"), ("get_Length", "GetHashCod"), ("Concat", "Intern"),
            ("Report\0", "Repurt\0"), ("Note\0", "Nope\0"), ("get_Count", "get_Notes"), ("MoveNext", "Finalize"), ("Enumerable\0", "Queryable\0\0"), ("Invoke\0", "Method\0"),
        ];
        var (old, next) = names[random.Next(names.Length)];
        int at = bytes.AsSpan(metadata, size).IndexOf(System.Text.Encoding.UTF8.GetBytes(old));
        if (at >= 0)
        {
            System.Text.Encoding.UTF8.GetBytes(next).CopyTo(bytes.AsSpan(metadata + at));
        }
    }

    // Every foreign type and member that the assembly names, as identifiers.
    private static (HashSet<string> Ids, string? Failure) Named(byte[] assembly)
    {
        var ids = new HashSet<string>(StringComparer.Ordinal);
        try
        {
            using var module = ModuleDefinition.ReadModule(new MemoryStream(assembly), new ReaderParameters(ReadingMode.Deferred));
            foreach (var type in module.GetTypeReferences())
            {
                ids.Add("T:" + FullName(type));
            }

            foreach (var member in module.GetMemberReferences())
            {
                var owner = member.DeclaringType.GetElementType();
                if (owner is TypeDefinition || member.DeclaringType is ArrayType || owner.IsDefinition || module.GetType(owner.FullName) is not null)
                {
                    continue;
                }

                string name = $"{FullName(owner)}.{member.Name.Replace('.', '#')}";
                ids.Add(member switch
                {
                    MethodReference method => $"M:{name}{(method.HasGenericParameters ? "``" + method.GenericParameters.Count : "")}{Parameters(method)}{Conversion(method)}",
                    _ => "F:" + name,
                });
            }

            return (ids, null);
        }
        // That library's own way of saying that it can't make sense of the bytes is any exception at all.
        catch (Exception e)
        {
            return (ids, $"{e.GetType().Name} {e.Message} {e.StackTrace?.Split('\n')[0].Trim()}");
        }
    }

    private static string Conversion(MethodReference method) => method.Name is "op_Implicit" or "op_Explicit" ? "~" + Id(method.ReturnType) : "";

    private static string Parameters(MethodReference method) =>
        method.HasParameters ? $"({string.Join(',', method.Parameters.Select(parameter => Id(parameter.ParameterType)))})" : "";

    private static string FullName(TypeReference type) =>
        type.DeclaringType is { } outer ? $"{FullName(outer)}.{type.Name}" : type.Namespace.Length == 0 ? type.Name : $"{type.Namespace}.{type.Name}";

    private static string Id(TypeReference type) => type switch
    {
        GenericParameter parameter => (parameter.Type == GenericParameterType.Method ? "``" : "`") + parameter.Position,
        ByReferenceType reference => Id(reference.ElementType) + "@",
        ArrayType { IsVector: true } array => Id(array.ElementType) + "[]",
        ArrayType array => $"{Id(array.ElementType)}[{string.Join(',', Enumerable.Repeat("0:", array.Rank))}]",
        IModifierType modified => Id(modified.ElementType),
        GenericInstanceType instance => Instance(FullName(instance.ElementType), [.. instance.GenericArguments.Select(Id)]),
        _ => FullName(type),
    };

    // Dictionary`2.Enumerator of K and V is Dictionary{K,V}.Enumerator.
    private static string Instance(string name, string[] arguments)
    {
        int next = 0;
        return string.Join('.', name.Split('.').Select(part =>
        {
            int tick = part.IndexOf('`');
            if (tick < 0)
            {
                return part;
            }

            int count = int.Parse(part[(tick + 1)..]);
            next += count;
            return $"{part[..tick]}{{{string.Join(',', arguments[(next - count)..next])}}}";
        }));
    }
}
