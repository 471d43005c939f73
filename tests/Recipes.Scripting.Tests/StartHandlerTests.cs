using Mono.Cecil;
using Mono.Cecil.Cil;
using Mono.Cecil.Rocks;
using Recipes.Checking;

namespace Recipes_Scripting_Tests;

/// <summary>
/// The handler that the compiler writes around a script's start is the only one that keeps what it catches. An honest recipe is changed
/// there by another library (Mono.Cecil), as a compiler's worker that was taken over could: each change is refused for that.
/// </summary>
public class StartHandlerTests
{
    private const string Refused = "The handler around the recipe's start does more than hand on what it catches.";

    // The handler's instructions by number: 0 keeps the exception, 1 this, 2 loads -2, 3 stores the state, 4 this, 5 the builder's address,
    // 6 loads the exception, 7 hands it on, 8 leaves (Roslyn's AsyncMethodToStateMachineRewriter).
    private static readonly Dictionary<string, Action<Start>> Forgeries = new()
    {
        ["read once more"] = start => start.Before(6, start.Load(), start.Il.Create(OpCodes.Pop)),
        ["told as a text"] = start => start.Before(1, start.Load(), start.Il.Create(OpCodes.Callvirt, start.ToText), start.Il.Create(OpCodes.Pop)),
        ["copied to another local"] = start => start.Before(1, start.Load(), start.Il.Create(OpCodes.Stloc, start.Other)),
        ["copied as it is caught"] = start => start.Before(0, start.Il.Create(OpCodes.Dup), start.Il.Create(OpCodes.Stloc, start.Other)),
        ["put into a field"] = start => start.Before(1, start.Il.Create(OpCodes.Ldarg_0), start.Load(), start.Il.Create(OpCodes.Stfld, start.Field)),
        ["read behind the handler"] = start => start.Behind(start.Load(), start.Il.Create(OpCodes.Pop)),
        ["its local's address taken behind the handler"] = start => start.Behind(start.Il.Create(OpCodes.Ldloca, start.Kept), start.Il.Create(OpCodes.Pop)),
        ["its local written behind the handler"] = start => start.Behind(start.Il.Create(OpCodes.Ldnull), start.Il.Create(OpCodes.Stloc, start.Kept)),
        ["another handed on, itself read behind"] = start =>
        {
            start.Handler[6].Operand = start.Other;
            start.Behind(start.Load(), start.Il.Create(OpCodes.Pop));
        },
        ["dropped"] = start => start.Replace(7, OpCodes.Pop, null),
        ["another member called"] = start => start.Replace(7, OpCodes.Call, start.ToText),
        ["another member of the builder called"] = start => start.Replace(7, OpCodes.Call, start.SetResult),
        ["another state"] = start => start.Handler[2].Operand = -1,
        ["state in another field"] = start => start.Handler[3].Operand = start.Field,
        ["another field for the builder"] = start => start.Handler[5].Operand = start.Field,
        ["something before it leaves"] = start => start.Before(8, start.Il.Create(OpCodes.Ldnull), start.Il.Create(OpCodes.Pop)),
        ["thrown on"] = start => start.Replace(8, OpCodes.Rethrow, null),
    };

    private static readonly byte[] Honest = Recipe.Compile("""
        int sails = 3;
        try
        {
            sails = int.Parse("4");
        }
        catch (FormatException)
        {
            sails = 5;
        }

        Report.Note($"{sails} sails");
        """).Assembly!;

    public static TheoryData<string> Changes => [.. Forgeries.Keys];

    [Fact]
    public void What_the_other_library_writes_again_unchanged_passes() => Findings(Forged(_ => { })).ShouldBeEmpty();

    [Theory]
    [MemberData(nameof(Changes))]
    public void A_handler_that_does_more_than_hand_on_is_refused(string change) => Findings(Forged(Forgeries[change])).ShouldContain(Refused);

    [Fact]
    public void Any_number_of_locals_passes()
    {
        // Instructions have short forms for locals 0 to 3 and for those to 255, and a long form (ECMA-335, III.3.43 and III.3.63), which
        // the compiler pads.
        foreach (int locals in (int[])[0, 5, 300])
        {
            string declared = string.Concat(Enumerable.Range(0, locals).Select(n => $"int sail{n} = Art.Width + {n};\n"));
            string used = string.Concat(Enumerable.Range(0, locals).Select(n => $"sail{n}++; sum += sail{n};\n"));
            var compiled = Recipe.Compile($"{{ int sum = 0; {declared} {used} Report.Note($\"{{sum}}\"); }}");
            compiled.Reply.Problems.ShouldBeEmpty($"{locals} locals");
            Findings(compiled.Assembly!).ShouldBeEmpty($"{locals} locals");
        }
    }

    private static string[] Findings(byte[] assembly) => [.. MetadataCheck.Check(assembly, "recipe", out _).Select(problem => problem.Message)];

    private static byte[] Forged(Action<Start> change)
    {
        using var module = ModuleDefinition.ReadModule(new MemoryStream(Honest));
        var start = new Start(module);
        change(start);
        start.Shorten();
        using var stream = new MemoryStream();
        module.Write(stream);
        return stream.ToArray();
    }

    /// <summary>The script's start, and in it the one handler that catches everything.</summary>
    private sealed class Start
    {
        private readonly MethodDefinition method;
        private readonly ExceptionHandler region;

        public Start(ModuleDefinition module)
        {
            method = module.GetTypes().Single(type => type.Interfaces.Any(i => i.InterfaceType.Name == "IAsyncStateMachine"))
                .Methods.Single(m => m.Name == "MoveNext");
            method.Body.SimplifyMacros();
            Il = method.Body.GetILProcessor();
            region = method.Body.ExceptionHandlers.Single(handler => handler.CatchType?.FullName == "System.Exception");
            Handler = [.. method.Body.Instructions.SkipWhile(one => one != region.HandlerStart).TakeWhile(one => one != region.HandlerEnd)];
            Handler.Length.ShouldBe(9);
            Kept = (VariableDefinition)Handler[0].Operand;
            Other = new VariableDefinition(module.TypeSystem.Object);
            method.Body.Variables.Add(Other);
            Field = new FieldDefinition("sail", FieldAttributes.Public, module.TypeSystem.Object);
            method.DeclaringType.Fields.Add(Field);
            ToText = new MethodReference("ToString", module.TypeSystem.String, module.TypeSystem.Object) { HasThis = true };
            SetResult = module.GetMemberReferences().OfType<MethodReference>().Single(member => member.Name == "SetResult");
        }

        public ILProcessor Il { get; }

        public Instruction[] Handler { get; }

        public VariableDefinition Kept { get; }

        public VariableDefinition Other { get; }

        public FieldDefinition Field { get; }

        public MethodReference ToText { get; }

        public MethodReference SetResult { get; }

        public void Shorten() => method.Body.OptimizeMacros();

        public Instruction Load() => Il.Create(OpCodes.Ldloc, Kept);

        public void Before(int number, params Instruction[] added)
        {
            foreach (var one in added)
            {
                Il.InsertBefore(Handler[number], one);
            }

            if (number == 0)
            {
                region.HandlerStart = region.TryEnd = added[0];
            }
        }

        public void Behind(params Instruction[] added)
        {
            foreach (var one in added)
            {
                Il.InsertBefore(region.HandlerEnd, one);
            }

            region.HandlerEnd = added[0];
        }

        public void Replace(int number, OpCode code, object? operand) => (Handler[number].OpCode, Handler[number].Operand) = (code, operand);
    }
}
