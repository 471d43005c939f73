using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Microsoft.CodeAnalysis.CSharp.Syntax;
using Recipes.Checking;
using Recipes.Problems;

namespace Recipes.Scripting;

/// <summary>Judges every type and member that a file's text stands for, written out or not, by the allow-list.</summary>
internal sealed class MemberCheck(CSharpCompilation compilation, SemanticModel model, AllowList list)
{
    private static readonly SymbolDisplayFormat FullName = new(
        typeQualificationStyle: SymbolDisplayTypeQualificationStyle.NameAndContainingTypesAndNamespaces,
        memberOptions: SymbolDisplayMemberOptions.IncludeContainingType);

    public IEnumerable<Problem> Judge(SyntaxNode root) =>
        from node in root.DescendantNodes()
        from use in Uses(node)
        where use.Symbol is not null && !IsNamedBetterElsewhere(node, use.Symbol)
        group (node, use.Symbol) by node.SpanStart into place
        let first = place.First()
        select Forbidden(first.node, first.Symbol);

    private IEnumerable<(ISymbol? Symbol, bool _)> Uses(SyntaxNode node)
    {
        yield return (Refused(model.GetSymbolInfo(node), node), false);
        if (node is ExpressionSyntax expression)
        {
            yield return (Refused(model.GetConversion(expression).MethodSymbol, node), false);
            if (node.Parent is InitializerExpressionSyntax { RawKind: (int)SyntaxKind.CollectionInitializerExpression })
            {
                yield return (Refused(model.GetCollectionInitializerSymbolInfo(expression), node), false);
            }
        }

        switch (node)
        {
            case CommonForEachStatementSyntax loop:
                var info = model.GetForEachStatementInfo(loop);
                yield return (Refused(info.GetEnumeratorMethod, loop) ?? Refused(info.MoveNextMethod, loop)
                    ?? Refused(info.CurrentProperty?.GetMethod, loop), false);
                break;
            case QueryClauseSyntax clause:
                var query = model.GetQueryClauseInfo(clause);
                yield return (Refused(query.OperationInfo, clause) ?? Refused(query.CastInfo, clause), false);
                break;
            case AssignmentExpressionSyntax { Left: TupleExpressionSyntax or DeclarationExpressionSyntax } assignment:
                yield return (Refused(model.GetDeconstructionInfo(assignment).Method, assignment), false);
                break;
        }
    }

    // Where overload resolution failed, the candidates tell what was meant; one that is allowed leaves it a compile error.
    private ISymbol? Refused(SymbolInfo info, SyntaxNode node)
    {
        if (info.Symbol is not null || info.CandidateSymbols.IsEmpty)
        {
            return Refused(info.Symbol, node);
        }

        var refused = info.CandidateSymbols.Select(candidate => Refused(candidate, node)).ToList();
        return refused.TrueForAll(candidate => candidate is not null) ? refused[0] : null;
    }

    private ISymbol? Refused(ISymbol? symbol, SyntaxNode node)
    {
        switch (symbol)
        {
            case IAliasSymbol alias:
                return Refused(alias.Target, node);
            case INamedTypeSymbol { TypeKind: TypeKind.Error }:
                return null;
            case INamedTypeSymbol type:
                return IsOwn(type) || type.IsAnonymousType || IsListed(type) ? null : type.OriginalDefinition;
            case IMethodSymbol { MethodKind: MethodKind.BuiltinOperator or MethodKind.LocalFunction or MethodKind.AnonymousFunction }:
                return null;
            case IMethodSymbol method:
                method = method.ReducedFrom ?? method;
                return IsHashCode(method) ? method : IsOwn(method) || IsListed(method) ? null : method;
            case IPropertySymbol property when IsOwn(property) || property.ContainingType.IsAnonymousType:
                return property is { IsImplicitlyDeclared: true, Name: "EqualityContract" } ? property : null;
            case IPropertySymbol property:
                return Accessors(property, node).All(IsListed) ? null : property;
            case IEventSymbol @event:
                return IsOwn(@event) || IsListed(@event.AddMethod!) ? null : @event;
            case IFieldSymbol field:
                field = field.CorrespondingTupleField ?? field;
                return IsOwn(field) || IsListed(field) ? null : field;
            default:
                return null;
        }
    }

    private bool IsOwn(ISymbol symbol) => SymbolEqualityComparer.Default.Equals(symbol.ContainingAssembly, compilation.Assembly);

    private bool IsListed(ISymbol symbol) =>
        symbol.OriginalDefinition.GetDocumentationCommentId() is { } id && list.Of(id) == Use.Recipe;

    // Whosever it is: behind an interface or a base of the recipe's own may stand one that mixes in seeds of the process.
    private static bool IsHashCode(IMethodSymbol method) => method is { Name: nameof(GetHashCode), Parameters.IsEmpty: true };

    private static IEnumerable<IMethodSymbol> Accessors(IPropertySymbol property, SyntaxNode node)
    {
        var whole = node.Parent is MemberAccessExpressionSyntax access && access.Name == node ? access : node;
        bool writes = whole.Parent is AssignmentExpressionSyntax assignment && assignment.Left == whole
            || whole.Parent is NameColonSyntax or NameEqualsSyntax && property.GetMethod is null;
        bool changes = writes && !whole.Parent.IsKind(SyntaxKind.SimpleAssignmentExpression)
            || whole.Parent is PrefixUnaryExpressionSyntax { RawKind: (int)SyntaxKind.PreIncrementExpression or (int)SyntaxKind.PreDecrementExpression }
            || whole.Parent is PostfixUnaryExpressionSyntax { RawKind: (int)SyntaxKind.PostIncrementExpression or (int)SyntaxKind.PostDecrementExpression };
        if ((writes || changes) && property.SetMethod is { } set)
        {
            yield return set;
        }

        if ((!writes || changes) && property.GetMethod is { } get)
        {
            yield return get;
        }
    }

    // System.IO.File.Delete is one finding, at Delete; new StreamReader(…) is one, at StreamReader.
    private bool IsNamedBetterElsewhere(SyntaxNode node, ISymbol symbol) => symbol switch
    {
        INamedTypeSymbol => node switch
        {
            _ when node is not SimpleNameSyntax and not PredefinedTypeSyntax => true,
            { Parent: MemberAccessExpressionSyntax access } when access.Expression == node => IsRefused(access.Name),
            { Parent: MemberAccessExpressionSyntax { Parent: MemberAccessExpressionSyntax outer } access }
                when access.Name == node && outer.Expression == access => IsRefused(outer.Name),
            { Parent: QualifiedNameSyntax { Parent: QualifiedNameSyntax outer } name } when name.Right == node && outer.Left == name => IsRefused(outer.Right),
            { Parent: QualifiedNameSyntax name } when name.Left == node => IsRefused(name.Right),
            _ => false,
        },
        IMethodSymbol { MethodKind: MethodKind.Constructor } => node is ObjectCreationExpressionSyntax && !IsListed(symbol.ContainingType),
        // A name stands for it; the expressions around the name stand for the same.
        _ => node is MemberAccessExpressionSyntax or InvocationExpressionSyntax or ConditionalAccessExpressionSyntax or MemberBindingExpressionSyntax,
    };

    private bool IsRefused(SimpleNameSyntax name) => Refused(model.GetSymbolInfo(name), name) is not null;

    private static Problem Forbidden(SyntaxNode node, ISymbol symbol)
    {
        string name = symbol is IMethodSymbol { MethodKind: MethodKind.Constructor }
            ? $"new {symbol.ContainingType.ToDisplayString(FullName)}(…)"
            : symbol.ToDisplayString(FullName);
        var (why, instead) = Advice.For(symbol);
        return new Problem(Codes.ForbiddenMember, $"{name} can't be used: {why}", instead, ScriptText.PlaceOf(node.GetLocation()));
    }
}
