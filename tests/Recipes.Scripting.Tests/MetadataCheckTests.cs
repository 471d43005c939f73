using System.Reflection;
using System.Reflection.Metadata;
using System.Reflection.Metadata.Ecma335;
using System.Reflection.PortableExecutable;
using CsCheck;
using Recipes.Checking;

namespace Recipes_Scripting_Tests;

public class MetadataCheckTests
{
    private static readonly byte[] Honest = Recipe.Compile("""
        record Beak(string Name, int Level);
        List<int> list = [1, 2, 3];
        Report.Note($"{string.Join(",", list.Select(n => n * 2))} {new Beak("orange", 3)}");
        """).Assembly!;

    [Fact]
    public void HonestBytesPass() => Findings(Honest).ShouldBeEmpty();

    [Fact]
    public void ChangedBytesAreJudgedWithoutAnException() =>
        Gen.Select(Gen.Int[0, Honest.Length - 1].Array[1, 8], Gen.Byte.Array[8])
            .Holds((places, values) =>
            {
                byte[] changed = [.. Honest];
                for (int i = 0; i < places.Length; i++)
                {
                    changed[places[i]] = values[i];
                }

                // Either a checked recipe or findings, never both and never an exception.
                var problems = MetadataCheck.Check(changed, "recipe", out var recipe);
                return problems.IsEmpty == recipe is not null;
            }, iter: 3000);

    [Fact]
    public void FindingsNameTheLineThatHoldsThem()
    {
        byte[] assembly = RejectedRecipes.Unchecked("""
            int level = 3;
            int Count()
            {
                level += 1;
                return System.Environment.ProcessorCount;
            }

            Report.Note($"{Count()}");
            """).ShouldNotBeNull();
        var places = MetadataCheck.Check(assembly, "recipe", out _, withLines: true).Select(problem => $"{problem.Where}: {problem.Message}").ToArray();
        places.ShouldContain("recipe(5,5): The compiled recipe uses System.Environment.get_ProcessorCount, which recipes may not use.");
        // The host opens no debug information.
        MetadataCheck.Check(assembly, "recipe", out _).ShouldAllBe(problem => problem.Where!.Line == null);
    }

    [Fact]
    public void ChangedDebugInformationGivesAPlaceOrNone()
    {
        byte[] assembly = RejectedRecipes.Unchecked("Report.Note($\"{System.Environment.ProcessorCount}\");").ShouldNotBeNull();
        // Portable PDB 1.0: the bytes MPDB, the size in full, then the compressed bytes to the section's end.
        int start = assembly.AsSpan().IndexOf("MPDB"u8);
        start.ShouldBeGreaterThan(0);
        Gen.Select(Gen.Int[0, 400].Array[1, 4], Gen.Byte.Array[4]).Holds((places, values) =>
        {
            byte[] changed = [.. assembly];
            for (int i = 0; i < places.Length; i++)
            {
                changed[Math.Min(start + places[i], changed.Length - 1)] = values[i];
            }

            return !MetadataCheck.Check(changed, "recipe", out var recipe, withLines: true).IsEmpty && recipe is null;
        }, iter: 500);

        byte[] vast = [.. assembly];
        vast.AsSpan(start + 4, 4).Fill(0x7F);
        MetadataCheck.Check(vast, "recipe", out _, withLines: true).ShouldAllBe(problem => problem.Where!.Line == null);
    }

    [Fact]
    public void CutBytesAreRefused() =>
        Gen.Int[0, Honest.Length / 2].Holds(length => !Findings(Honest[..length]).IsEmpty(), iter: 200);

    [Fact]
    public void TheCallersArrayCanChangeAfterwards()
    {
        byte[] bytes = [.. Honest];
        MetadataCheck.Check(bytes, "recipe", out var recipe);
        Array.Clear(bytes);
        recipe!.Assembly.ToArray().ShouldBe(Honest);
    }

    [Fact]
    public void NobodyElseCanMakeACheckedRecipe() =>
        typeof(CheckedRecipe).GetConstructors(BindingFlags.Instance | BindingFlags.Public | BindingFlags.NonPublic).ShouldAllBe(constructor => constructor.IsPrivate);

    [Fact]
    public void OnlyTheCheckHandsOneOut()
    {
        // No subclass, no copy, no friend assembly; and of all public members just one gives a checked recipe.
        typeof(CheckedRecipe).IsSealed.ShouldBeTrue();
        typeof(CheckedRecipe).IsValueType.ShouldBeFalse();
        typeof(CheckedRecipe).Assembly.GetCustomAttributes<System.Runtime.CompilerServices.InternalsVisibleToAttribute>().ShouldBeEmpty();
        const BindingFlags all = BindingFlags.Instance | BindingFlags.Static | BindingFlags.Public;
        var givers =
            from type in typeof(CheckedRecipe).Assembly.GetExportedTypes()
            from method in type.GetMethods(all)
            where method.ReturnType == typeof(CheckedRecipe)
                || method.GetParameters().Any(parameter => parameter.ParameterType.IsByRef && parameter.ParameterType.GetElementType() == typeof(CheckedRecipe))
            select $"{type.Name}.{method.Name}";
        givers.ShouldBe(["MetadataCheck.Check"]);
        typeof(CheckedRecipe).Assembly.GetExportedTypes().SelectMany(type => type.GetFields(all)).ShouldAllBe(field => field.FieldType != typeof(CheckedRecipe));
    }

    [Fact]
    public void AnotherAssemblyIsRefused() =>
        Findings(File.ReadAllBytes(typeof(AllowList).Assembly.Location)).ShouldNotBeEmpty();

    [Fact]
    public void ANestedSignatureDoesNotOverflowTheStack()
    {
        // 200,000 array ranks in one type.
        var blob = new byte[200_001];
        Array.Fill(blob, (byte)SignatureTypeCode.SZArray);
        blob[^1] = (byte)SignatureTypeCode.Int32;
        Findings(Forge((metadata, _) => metadata.AddTypeSpecification(metadata.GetOrAddBlob(blob)))).ShouldContain(f => f.Contains("too deeply"));
    }

    [Fact]
    public void ASharedLongSignatureIsNotReadForever()
    {
        var blob = new BlobBuilder();
        new BlobEncoder(blob).MethodSignature().Parameters(60_000, r => r.Void(), p =>
        {
            for (int i = 0; i < 60_000; i++)
            {
                p.AddParameter().Type().Int32();
            }
        });
        Findings(Forge((metadata, core) =>
        {
            var signature = metadata.GetOrAddBlob(blob);
            var type = metadata.AddTypeReference(core, metadata.GetOrAddString("System"), metadata.GetOrAddString("Math"));
            for (int i = 0; i < 20_000; i++)
            {
                metadata.AddMemberReference(type, metadata.GetOrAddString("Abs"), signature);
            }
        })).ShouldContain(f => f.Contains("too large to judge"));
    }

    [Theory]
    [InlineData("Draw", false)]
    [InlineData("GetType", true)]
    [InlineData("MemberwiseClone", true)]
    public void OwnTypesGiveOnlyWhatTheyDeclare(string name, bool refused) =>
        // The runtime looks for a member in the bases of its type, too.
        Findings(Forge((metadata, _) =>
        {
            var signature = new BlobBuilder();
            new BlobEncoder(signature).MethodSignature().Parameters(0, r => r.Void(), _ => { });
            metadata.AddMemberReference(MetadataTokens.TypeDefinitionHandle(2), metadata.GetOrAddString(name), metadata.GetOrAddBlob(signature));
        })).Any(f => f.Contains("doesn't declare")).ShouldBe(refused);

    [Theory]
    [InlineData("Object", false)]
    [InlineData("Exception", true)]
    [InlineData("Type", true)]
    [InlineData("Delegate", true)]
    public void TypesAreBuiltOnlyUponWhatRecipesMayName(string name, bool refused) =>
        Findings(Forge((metadata, core) => metadata.AddTypeDefinition(
            TypeAttributes.Class, default, metadata.GetOrAddString("Wing"), metadata.AddTypeReference(core, metadata.GetOrAddString("System"), metadata.GetOrAddString(name)),
            MetadataTokens.FieldDefinitionHandle(1), MetadataTokens.MethodDefinitionHandle(2)))).Any(f => f.Contains("built upon")).ShouldBe(refused);

    [Fact]
    public void ForeignKindsOfTypesAreRefused() =>
        Findings(Forge((metadata, _) => metadata.AddTypeDefinition(
            TypeAttributes.Interface | TypeAttributes.Abstract | TypeAttributes.Import, default, metadata.GetOrAddString("Wing"), default,
            MetadataTokens.FieldDefinitionHandle(1), MetadataTokens.MethodDefinitionHandle(2)))).ShouldContain(f => f.Contains("Wing, which isn't plain code"));

    [Fact]
    public void AttributesOfItsOwnAreRefused() =>
        Findings(Forge((metadata, _) =>
        {
            var signature = new BlobBuilder();
            new BlobEncoder(signature).MethodSignature().Parameters(0, r => r.Void(), _ => { });
            var constructor = metadata.AddMemberReference(MetadataTokens.TypeDefinitionHandle(2), metadata.GetOrAddString("Draw"), metadata.GetOrAddBlob(signature));
            metadata.AddCustomAttribute(EntityHandle.AssemblyDefinition, constructor, metadata.GetOrAddBlob(new byte[] { 1, 0, 0, 0 }));
        })).ShouldContain("The compiled recipe declares an attribute of its own.");

    [Fact]
    public void AStreamThatStandsTwiceIsRefused()
    {
        byte[] twice = [.. Honest];
        "#Blob"u8.CopyTo(twice.AsSpan(twice.AsSpan().IndexOf("#GUID"u8)));
        Findings(twice).ShouldContain(f => f.Contains("a stream too many"));
    }

    [Theory]
    [InlineData(8, false)]
    [InlineData(1_000_000, true)]
    public void DataThatLeavesTheFileIsRefused(int size, bool refused) =>
        Findings(Forge((metadata, core) =>
        {
            var data = MetadataTokens.TypeDefinitionHandle(4);
            var signature = new BlobBuilder();
            new BlobEncoder(signature).Field().Type().Type(data, isValueType: true);
            var field = metadata.AddFieldDefinition(
                FieldAttributes.Static | FieldAttributes.Assembly | FieldAttributes.HasFieldRVA, metadata.GetOrAddString("Feathers"), metadata.GetOrAddBlob(signature));
            metadata.AddFieldRelativeVirtualAddress(field, 0);
            var value = metadata.AddTypeReference(core, metadata.GetOrAddString("System"), metadata.GetOrAddString("ValueType"));
            metadata.AddTypeDefinition(TypeAttributes.Class, default, metadata.GetOrAddString("<PrivateImplementationDetails>"), default,
                MetadataTokens.FieldDefinitionHandle(1), MetadataTokens.MethodDefinitionHandle(2));
            metadata.AddTypeDefinition(TypeAttributes.ExplicitLayout, default, metadata.GetOrAddString("__StaticArrayInitTypeSize=8"), value,
                MetadataTokens.FieldDefinitionHandle(2), MetadataTokens.MethodDefinitionHandle(2));
            metadata.AddTypeLayout(data, 1, (uint)size);
        }, data: new byte[8])).Any(f => f.Contains("data leaves the file")).ShouldBe(refused);

    [Fact]
    public void SectionsThatOverlapAreRefused()
    {
        // The second section's address (ECMA-335, II.25.3: at 12 in each header of 40 bytes) becomes the first's.
        byte[] overlapping = [.. Honest];
        int first = overlapping.AsSpan().IndexOf(".text\0"u8);
        overlapping.AsSpan(first + 12, 4).CopyTo(overlapping.AsSpan(first + 40 + 12));
        Findings(overlapping).ShouldContain(f => f.Contains("overlap"));
    }

    [Theory]
    [InlineData("System.ArgumentException", false)]
    [InlineData("System.Exception", true)]
    [InlineData("", true)]
    public void AFilterMustAskForATypeThatRecipesMayCatch(string type, bool refused) =>
        Findings(Forge(
            (metadata, core) =>
            {
                if (type.Length > 0)
                {
                    metadata.AddTypeReference(core, metadata.GetOrAddString("System"), metadata.GetOrAddString(type["System.".Length..]));
                }
            },
            // try { leave } filter { isinst type, or nop; pop; ldc.i4.1; endfilter } { pop; leave } ret
            [0xDE, 13, .. type.Length > 0 ? (byte[])[0x75, 2, 0, 0, 1] : [0, 0, 0, 0, 0], 0x26, 0x17, 0xFE, 0x11, 0x26, 0xDE, 0, 0x2A, 0x2A],
            filter: (Try: (0, 2), Filter: 2, Handler: (11, 3)))).Any(f => f.Contains("every exception")).ShouldBe(refused);

    // try { leave } filter { isinst FormatException; dup; brtrue; pop; ldc.i4.0; br; pop; ldc.i4.1; endfilter } { pop; leave } ret, with one byte of it
    // another: kept in a local, left on the stack, or jumped past what drops it.
    [Theory]
    [InlineData(0, 0xDE, false)]
    [InlineData(18, 0x0A, true)]
    [InlineData(18, 0x00, true)]
    [InlineData(14, 0x0A, true)]
    [InlineData(14, 0x25, true)]
    [InlineData(7, 0x0A, true)]
    [InlineData(9, 0x05, true)]
    [InlineData(10, 0x0A, true)]
    public void AnExceptionThatIsCaughtIsDroppedFirst(int at, byte put, bool refused)
    {
        byte[] code = [0xDE, 19, 0x75, 2, 0, 0, 1, 0x25, 0x2D, 4, 0x26, 0x16, 0x2B, 2, 0x26, 0x17, 0xFE, 0x11, 0x26, 0xDE, 0, 0x2A];
        code[at] = put;
        Findings(Forge(
            (metadata, core) => metadata.AddTypeReference(core, metadata.GetOrAddString("System"), metadata.GetOrAddString("FormatException")), code,
            filter: (Try: (0, 2), Filter: 2, Handler: (18, 3)))).Any(f => f.Contains("keeps the exception that it catches")).ShouldBe(refused);
    }

    [Theory]
    [InlineData(new byte[] { 0x73, 1, 0, 0, 0x0A, 0x7A }, false)] // newobj, throw
    [InlineData(new byte[] { 0x73, 1, 0, 0, 0x0A, 0x26, 0x2A }, true)] // pop
    [InlineData(new byte[] { 0x73, 1, 0, 0, 0x0A, 0x25, 0x7A }, true)] // dup, throw
    [InlineData(new byte[] { 0x73, 1, 0, 0, 0x0A, 0x0A, 0x2A }, true)] // stloc.0
    [InlineData(new byte[] { 0x73, 1, 0, 0, 0x0A }, true)]
    public void AnExceptionThatIsMadeIsThrownNext(byte[] code, bool refused) =>
        Findings(Forge(
            (metadata, core) =>
            {
                var signature = new BlobBuilder();
                new BlobEncoder(signature).MethodSignature(isInstanceMethod: true).Parameters(0, r => r.Void(), _ => { });
                var type = metadata.AddTypeReference(core, metadata.GetOrAddString("System"), metadata.GetOrAddString("FormatException"));
                metadata.AddMemberReference(type, metadata.GetOrAddString(".ctor"), metadata.GetOrAddBlob(signature));
            },
            code)).Any(f => f.Contains("keeps an exception that it makes")).ShouldBe(refused);

    [Fact]
    public void PlatformCallsAreRefused() =>
        Findings(Forge((metadata, _) =>
        {
            var signature = new BlobBuilder();
            new BlobEncoder(signature).MethodSignature().Parameters(0, r => r.Type().Int32(), _ => { });
            var method = metadata.AddMethodDefinition(
                MethodAttributes.Static | MethodAttributes.PinvokeImpl, MethodImplAttributes.PreserveSig,
                metadata.GetOrAddString("getpid"), metadata.GetOrAddBlob(signature), -1, default);
            metadata.AddMethodImport(method, MethodImportAttributes.CallingConventionCDecl, metadata.GetOrAddString("getpid"), metadata.AddModuleReference(metadata.GetOrAddString("libc")));
        })).ShouldContain(f => f.Contains("ImplMap"));

    [Theory]
    [InlineData(new byte[] { 0x2A }, false)] // ret
    [InlineData(new byte[] { 0x17, 0xFE, 0x0F, 0x26, 0x2A }, true)] // localloc
    [InlineData(new byte[] { 0x29, 1, 0, 0, 0x11, 0x2A }, true)] // calli
    [InlineData(new byte[] { 0x27, 1, 0, 0, 6 }, true)] // jmp
    [InlineData(new byte[] { 0x2B, 1, 0x20, 0x2A, 0x2A, 0x2A, 0x2A, 0x26, 0x2A }, true)] // a jump into a constant
    [InlineData(new byte[] { 0x2B, 5, 0x20, 0x2A, 0x2A, 0x2A, 0x2A, 0x2A }, false)] // a jump over it
    [InlineData(new byte[] { 0x28, 9, 0, 0, 0x0A, 0x2A }, true)] // a call to a row that isn't there
    [InlineData(new byte[] { 0x45, 0xFF, 0xFF, 0xFF, 0x7F, 0x2A }, true)] // a switch over the end
    [InlineData(new byte[] { 0xFE, 0x17, 0x2A }, true)] // cpblk
    [InlineData(new byte[] { 0x72, 1, 0, 0, 0x70, 0x26, 0x2A }, false)] // ldstr
    public void InstructionsAreJudged(byte[] code, bool refused) =>
        Findings(Forge((_, _) => { }, code)).IsEmpty().ShouldBe(!refused);

    // A small assembly by hand: the class Script with one static method of that code.
    private static byte[] Forge(
        Action<MetadataBuilder, AssemblyReferenceHandle> more, byte[]? code = null, ((int At, int Length) Try, int Filter, (int At, int Length) Handler)? filter = null,
        byte[]? data = null)
    {
        var metadata = new MetadataBuilder();
        metadata.AddModule(0, metadata.GetOrAddString("Recipe.dll"), metadata.GetOrAddGuid(new Guid(1, 2, 3, [1, 2, 3, 4, 5, 6, 7, 8])), default, default);
        metadata.AddAssembly(metadata.GetOrAddString("Recipe"), new Version(0, 0), default, default, default, AssemblyHashAlgorithm.None);
        var core = metadata.AddAssemblyReference(metadata.GetOrAddString("System.Runtime"), new Version(10, 0), default, default, default, default);
        var root = metadata.AddTypeReference(core, metadata.GetOrAddString("System"), metadata.GetOrAddString("Object"));
        metadata.GetOrAddUserString("sail");

        var bodies = new BlobBuilder();
        var stream = new MethodBodyStreamEncoder(bodies);
        code ??= [0x2A];
        var added = stream.AddMethodBody(code.Length, exceptionRegionCount: filter is null ? 0 : 1, hasSmallExceptionRegions: true);
        new BlobWriter(added.Instructions).WriteBytes(code);
        if (filter is { } region)
        {
            added.ExceptionRegions.AddFilter(region.Try.At, region.Try.Length, region.Handler.At, region.Handler.Length, region.Filter);
        }

        int body = added.Offset;
        var signature = new BlobBuilder();
        new BlobEncoder(signature).MethodSignature().Parameters(0, r => r.Void(), _ => { });
        var method = metadata.AddMethodDefinition(
            MethodAttributes.Static, MethodImplAttributes.IL, metadata.GetOrAddString("Draw"), metadata.GetOrAddBlob(signature), body, default);
        metadata.AddTypeDefinition(default, default, metadata.GetOrAddString("<Module>"), default, MetadataTokens.FieldDefinitionHandle(1), method);
        metadata.AddTypeDefinition(TypeAttributes.Class, default, metadata.GetOrAddString("Script"), root, MetadataTokens.FieldDefinitionHandle(1), method);
        more(metadata, core);

        var fieldData = new BlobBuilder();
        fieldData.WriteBytes(data ?? []);
        var image = new BlobBuilder();
        new ManagedPEBuilder(PEHeaderBuilder.CreateLibraryHeader(), new MetadataRootBuilder(metadata), bodies, mappedFieldData: fieldData, flags: CorFlags.ILOnly).Serialize(image);
        return image.ToArray();
    }

    private static string[] Findings(byte[] assembly)
    {
        var problems = MetadataCheck.Check(assembly, "recipe", out var recipe);
        problems.IsEmpty.ShouldBe(recipe is not null);
        problems.ShouldAllBe(p => p.Code.Id == "R2004");
        return [.. problems.Select(p => p.Message)];
    }
}

internal static class Sequences
{
    public static bool IsEmpty<T>(this T[] all) => all.Length == 0;
}
